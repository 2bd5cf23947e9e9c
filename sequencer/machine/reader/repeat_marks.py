"""What stands under ``repeat`` in a machine file: marks, their values, and the values' own entries."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Self

from sequencer.machine.faults import Faults, quote
from sequencer.machine.reader.yaml_tree import BROKEN, Path, Tree
from sequencer.machine.schema.fields import kind_of

REPEAT = "repeat"
"""The key that makes marks."""

MARK = re.compile(r"<([^<>./=\s]+)(?:\.([^<>./=\s]+))?>")
_WORD = re.compile(r"[^<>./=\s]+")

Marks = Mapping[str, Mapping[str, Mapping[str, str]]]
"""For each mark its values in the order of the file, and the entries of each value."""

Bound = Mapping[str, str]
"""The marks that have a value here, and which."""


class Outside(str):
    """A name of the machine that an assembly was given: no prefix is put before it.

    Attributes:
        levels: Through how many includes it has come down; each takes one off on the way back up.
    """

    levels: int

    def __new__(cls, text: str, levels: int = 1) -> Self:
        """The name ``text``."""
        self = super().__new__(cls, text)
        self.levels = levels
        return self

    def one_up(self) -> str:
        """The name as whoever included the assembly has it."""
        return Outside(str(self), self.levels - 1) if self.levels > 1 else str(self)


@dataclass(frozen=True)
class Given:
    """The value of a parameter of an assembly, which ``<name>`` stands for in it.

    Attributes:
        value: A text, a list or a mapping as a file has it; ``None``: nothing.
        tree: Knows where it is written.
        path: And under which path.
    """

    value: object
    tree: Tree
    path: Path

    @property
    def levels(self) -> int:
        """How far outside the name is that it is; 0: it is none."""
        return self.value.levels if isinstance(self.value, Outside) else 0


def marks_of(tree: Tree, faults: Faults) -> Marks | None:
    """What ``repeat`` says; ``None`` after noting what is wrong with it."""
    return _Reader(tree, faults).marks()


def filled(text: str, bound: Bound, marks: Marks) -> str:
    """``text`` with the values of the marks that have one here; what has none stays."""

    def value(found: re.Match[str]) -> str:
        its, key = bound.get(found[1]), found[2]
        if its is None:
            return found[0]
        return its if key is None else marks[found[1]][its].get(key, found[0])

    return MARK.sub(value, text)


def has_marks(raw: object, marks: Marks, bound: Bound) -> tuple[str, ...]:
    """The marks without a value here that stand in a text, or anywhere in a list or mapping; in order."""
    if isinstance(raw, str):
        found = [name for name, _ in MARK.findall(raw) if name in marks and name not in bound]
    elif isinstance(raw, dict | list):
        inside = itertools.chain(*raw.items()) if isinstance(raw, dict) else raw
        found = [name for one in inside for name in has_marks(one, marks, bound)]
    else:
        found = []
    return tuple(dict.fromkeys(found))


class _Reader:
    """Reads what stands under ``repeat``."""

    def __init__(self, tree: Tree, faults: Faults) -> None:
        self.tree = tree
        self.faults = faults
        self.usable = True

    def marks(self) -> Marks | None:
        """The marks; ``None`` after noting what is wrong with them."""
        raw = self.tree.data[REPEAT]
        found = {}
        if isinstance(raw, dict):
            for name, values in raw.items():
                self._name((REPEAT, name), name, "a mark")
                found[name] = self._values((REPEAT, name), values)
        else:
            self._refuse((REPEAT,), raw, "`repeat` wants marks with a colon", "write side: [left, right]")
        return found if self.usable else None

    def _values(self, path: Path, raw: object) -> dict[str, dict[str, str]]:
        found: dict[str, dict[str, str]] = {}
        if isinstance(raw, dict):
            for value, entries in raw.items():
                self._value((*path, value), value, key=True)
                found[value] = self._entries((*path, value), entries)
        elif isinstance(raw, list | str):
            for number, value in enumerate([raw] if isinstance(raw, str) else raw):
                here = (*path, number)
                if not isinstance(value, str):
                    self._refuse(here, value, "a value is a word", "write side: [left, right]")
                elif value in found:
                    self._say(here, f"`{quote(value)}` is in this list twice", "take one out")
                else:
                    self._value(here, value)
                    found[value] = {}
        if not found:
            self._refuse(
                path, raw, f"`{quote(path[-1])}` has no values", "write side: [left, right]", key=True
            )
        return found

    def _entries(self, path: Path, raw: object) -> dict[str, str]:
        if raw is None:
            return {}
        if not isinstance(raw, dict):
            self._refuse(path, raw, "a value's own entries have a colon", "write left: {stand: left-wing}")
            return {}
        for key, entry in raw.items():
            self._name((*path, key), key, "an entry")
            if not isinstance(entry, str):
                self._refuse((*path, key), entry, "an entry is one text", "write one text, or take it out")
            else:
                self._no_mark((*path, key), entry)
        return {key: entry for key, entry in raw.items() if isinstance(entry, str)}

    def _value(self, path: Path, value: str, *, key: bool = False) -> None:
        if not value or value != value.strip() or any(sign in value for sign in "/=\n"):
            problem = f"`{quote(value)}` can't be a value" if value else "a value is missing"
            self._say(
                path, problem, "values are words without / and =, and without blanks at the ends", key=key
            )
        else:
            self._no_mark(path, value, key=key)

    def _name(self, path: Path, name: str, what: str) -> None:
        if not _WORD.fullmatch(name):
            advice = "write one word, without < > . / and ="
            self._say(path, f"{what} can't be called `{quote(name)}`", advice, key=True)

    def _no_mark(self, path: Path, text: str, *, key: bool = False) -> None:
        if found := MARK.search(text):
            self._say(path, f"`{quote(found[0])}` can't stand in `repeat` itself", "write it out", key=key)

    def _refuse(self, path: Path, raw: object, problem: str, remedy: str, *, key: bool = False) -> None:
        """Say what is wrong with a value, unless that has been said."""
        self.usable = False
        if raw is not BROKEN:
            self._say(path, f"{problem}, and this is {kind_of(raw)}", remedy, key=key)

    def _say(self, path: Path, problem: str, remedy: str, *, key: bool = False) -> None:
        self.usable = False
        self.faults.error(self.tree.place(path, key=key), problem, remedy)
