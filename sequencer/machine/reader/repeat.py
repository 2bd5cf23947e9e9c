"""What a machine file says once for several sides, written out for each before anything else reads it.

``repeat: {side: [left, right]}`` makes ``<side>`` a mark. A part, task, tool, fluid or position whose name
has it becomes one for each value; within it ``<side>`` is the value and ``<side.key>`` one of the value's
entries. What a text with fewer marks says of one of them, or with none, is laid over it, key by key. In a
list elsewhere an entry with the mark stands for all of them; anywhere else it is refused. Each thing keeps
the place of the text that it comes from, and the values that it has from there.
"""

from __future__ import annotations

import itertools
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import Any

from sequencer.machine.faults import Faults, quote, suggestion
from sequencer.machine.model import Place
from sequencer.machine.reader.items import ANY
from sequencer.machine.reader.merge import laid_over
from sequencer.machine.reader.repeat_marks import (
    MARK,
    REPEAT,
    Bound,
    Given,
    Marks,
    Outside,
    filled,
    has_marks,
    marks_of,
)
from sequencer.machine.reader.source import MOST_BYTES
from sequencer.machine.reader.yaml_tree import BROKEN, MOST_NODES, Path, Tree
from sequencer.machine.schema.entries import shape_at
from sequencer.machine.schema.fields import kind_of

SECTIONS = ("positions", "tools", "fluids", "tasks", "parts")
"""Where a name with a mark stands for several."""

_SHORT_LISTS = ("crack", "loose", "aside")
"""Keys with entries of their own, where a list, or one name, may stand instead."""

_MOST_SIGNS = 8 * MOST_BYTES
"""Most characters of a file written out."""

_WHERE = "a mark has a value in what has it in its name, and in lists; anywhere else write out what is meant"


@dataclass(frozen=True)
class Origin:
    """The text that one of several comes from.

    Attributes:
        path: Where the text is, as the file has it: ``("parts", "cover-<side>")``; of an assembly nothing.
        bound: The values of its marks for this one.
        base: What it says, without what the file says beside it for this one alone.
        assembly: The assembly that it comes from, if it comes from one.
    """

    path: Path
    bound: Bound
    base: object = None
    assembly: str = ""


@dataclass(frozen=True)
class Made:
    """An assembly that a file was made of: its name, what its names begin with, its version, its file."""

    assembly: str
    prefix: str
    version: str
    path: FilePath


@dataclass(frozen=True)
class WrittenOut:
    """A file with everything written out.

    Attributes:
        tree: What it says, with the places of the text.
        marks: What ``repeat`` says.
        origins: For each ``(section, name)`` that a repeated text became, or an include brought, that text.
        made_of: What it includes, and what that includes, in the order of the files.
    """

    tree: Tree
    marks: Marks
    origins: Mapping[Path, Origin] = field(default_factory=dict)
    made_of: tuple[Made, ...] = ()


def write_out(tree: Tree, faults: Faults, given: Mapping[str, Given] | None = None) -> WrittenOut | None:
    """What ``tree`` says without ``repeat``; ``None`` where what that has under it can't be used.

    Other faults are noted, and what is faulty is left out. ``given`` are the parameters of an assembly.
    """
    repeats = isinstance(tree.data, dict) and tree.data.get(REPEAT) not in (None, {})
    if not repeats and not given:
        return WrittenOut(tree, {})
    marks = marks_of(tree, faults) if repeats else {}
    return None if marks is None else _Writer(tree, marks, faults, given or {}).written()


class _TooMuchError(Exception):
    """Written out, it is more than any machine has; the fault is noted."""


@dataclass(frozen=True)
class _Text:
    """An entry of a mapping: its name written out, its key, where it is, and the values of its marks."""

    name: str
    key: str
    source: Path
    bound: Bound


class _Writer:
    """Writes a file out. ``source`` is where something is in the file, ``to`` where it goes."""

    def __init__(self, tree: Tree, marks: Marks, faults: Faults, given: Mapping[str, Given]) -> None:
        self.tree = tree
        self.marks = marks
        self.given = given
        self.faults = faults
        self.out = Tree(tree.file)
        self.origins: dict[Path, Origin] = {}
        texts = [
            text for of in marks.values() for value, its in of.items() for text in (value, *its.values())
        ]
        texts += [one.value for one in given.values() if isinstance(one.value, str)]
        self._longest = max(map(len, texts), default=0)
        self._nodes = self._signs = 0

    def written(self) -> WrittenOut | None:
        """Everything written out; ``None`` where it would be too much."""
        without = {key: value for key, value in self.tree.data.items() if key != REPEAT}
        try:
            self.out.data = self._value(without, (), (), {})
        except _TooMuchError:
            return None
        return WrittenOut(self.out, self.marks, self.origins)

    def _value(self, raw: object, source: Path, to: Path, bound: Bound) -> object:
        self._count(0)
        if (one := self._alone(raw)) is not None:
            return self.out.take_all(one.tree, one.path, to, one.value)
        self.out.take(self.tree, source, to, _said(bound))
        if (entries := self._entries(raw, source, bound)) is not None:
            return self._list(entries, to, bound)
        if isinstance(raw, dict):
            return self._mapping(raw, source, to, bound)
        return self._filled(raw, source, bound) if isinstance(raw, str) else raw

    def _entries(self, raw: object, source: Path, bound: Bound) -> list[tuple[object, Path]] | None:
        """The entries of a list, also of one written without its brackets where they are wanted now."""
        open_ones = () if _is_any(raw) else has_marks(raw, self.marks, bound)
        if isinstance(raw, list):
            one_walk = source == ("walks",) and all(isinstance(one, str) for one in raw)
            alone = one_walk and bool(open_ones)
        else:
            alone = bool(open_ones) and _takes_a_list(source, raw)
        if alone:
            return [(raw, source)]
        return [(one, (*source, n)) for n, one in enumerate(raw)] if isinstance(raw, list) else None

    def _list(self, entries: list[tuple[object, Path]], to: Path, bound: Bound) -> list[object]:
        """The entries, one with a mark for all its values; what comes of it twice is taken once."""
        result: list[object] = []
        for raw, source in entries:
            if (one := self._alone(raw)) is not None and not isinstance(one.value, str):
                result += self._spliced(one, (*to, len(result)))
                continue
            seen = set()
            for more in [bound] if _is_any(raw) else self._each(_named_by(raw, source), bound):
                value = self._entry(raw, source, (*to, len(result)), more)
                if (said := repr(value)) not in seen:
                    result.append(value)
                seen.add(said)
        return result

    def _alone(self, raw: object) -> Given | None:
        """The parameter that a text is the mark of, and nothing else."""
        alone = MARK.fullmatch(raw) if isinstance(raw, str) else None
        return self.given.get(alone[1]) if alone and alone[2] is None else None

    def _spliced(self, one: Given, to: Path) -> list[object]:
        """The entries of a parameter in the middle of a list, of which the first goes to ``to``."""
        entries = one.value if isinstance(one.value, list) else [] if one.value is None else [one.value]
        for number, entry in enumerate(entries):
            self._count(0)
            source = (*one.path, number) if isinstance(one.value, list) else one.path
            self.out.take_all(one.tree, source, (*to[:-1], int(to[-1]) + number), entry)
        return entries

    def _entry(self, raw: object, source: Path, to: Path, bound: Bound) -> object:
        """An entry that is a list itself, a walk, is one thing: nothing in it stands for several."""
        if not isinstance(raw, list):
            return self._value(raw, source, to, bound)
        self.out.take(self.tree, source, to, _said(bound))
        return [self._value(one, (*source, n), (*to, n), bound) for n, one in enumerate(raw)]

    def _each(self, raw: object, bound: Bound) -> Iterator[Bound]:
        """All pairs of values of the marks that have none yet, the first mark varying slowest."""
        marks = has_marks(raw, self.marks, bound)
        for values in itertools.product(*(self.marks[name] for name in marks)):
            yield {**bound, **dict(zip(marks, values, strict=True))} if marks else bound

    def _mapping(self, raw: dict[str, Any], source: Path, to: Path, bound: Bound) -> dict[str, object]:
        result: dict[str, object] = {}
        texts = self._texts(raw, source, bound)
        most = {one.name: len(one.bound) for one in sorted(texts, key=lambda one: len(one.bound))}
        for one in texts:
            is_nothing = (given := self._alone(raw[one.key])) is not None and given.value is None
            if len(one.bound) < most[one.name] or is_nothing:
                continue
            at = (*to, one.name)
            if one.name in result:
                self._second(one, at)
                continue
            result[one.name] = self._value(raw[one.key], one.source, at, one.bound)
            if len(one.bound) > len(bound):
                self.origins[at] = Origin(one.source, one.bound, result[one.name])
        beside = [one for one in texts if len(one.bound) < most[one.name]]
        for one in sorted(beside, key=lambda one: -len(one.bound)):
            at, aside = (*to, one.name), ("", *to, one.name)
            said = self._value(raw[one.key], one.source, aside, one.bound)
            if said is not None:
                result[one.name] = laid_over(result[one.name], said, self.out, at, self.out, aside)
        return result

    def _texts(self, raw: dict[str, Any], source: Path, bound: Bound) -> list[_Text]:
        """The entries of a mapping; in a section of names a text with marks once for each value of theirs."""
        found = []
        for key in raw:
            here = (*source, key)
            of_names = len(source) == 1 and source[0] in SECTIONS
            for more in self._each(key, bound) if of_names else [bound]:
                name = self._filled(key, here, more, key=True)
                found.append(_Text(name if isinstance(name, str) else key, key, here, more))
        return found

    def _second(self, text: _Text, at: Path) -> None:
        """Note a name that two texts with as many marks have."""
        first = self.out.place(at, key=True).line
        place = replace(self.tree.place(text.source, key=True), within=_said(text.bound))
        problem = f"`{quote(text.name)}` is here a second time; the first is in line {first}"
        self.faults.error(place, problem, "give one of them another name", "structure")

    def _filled(self, text: str, source: Path, bound: Bound, *, key: bool = False) -> object:
        """A text with its values; ``BROKEN`` after noting a mark that has none here."""
        if "<" not in text:
            self._count(len(text))
            return text
        self._count(len(text) + text.count("<") * self._longest)
        known = [self._knows(name, own, source, bound, key=key) for name, own in MARK.findall(text)]
        if not all(known):
            return BROKEN
        names = [name for name, _ in MARK.findall(text) if name in self.given]
        text = filled(text, bound, self.marks)
        if not names:
            return text
        levels = max(self.given[name].levels for name in names)
        text = MARK.sub(lambda mark: str(self.given[mark[1]].value) if mark[1] in names else mark[0], text)
        return Outside(text, levels) if levels else text

    def _knows(self, name: str, own: str, source: Path, bound: Bound, *, key: bool) -> bool:
        """Whether a mark has a value here, and the value the entry; notes the fault if not."""
        place = self.tree.place(source, key=key)
        if name in self.given:
            return self._fits_in_a_text(name, own, place)
        if name not in self.marks:
            known = [*self.given, *self.marks]
            advice = suggestion(name, known, "take the angle brackets away if no mark is meant")
            has_none = "neither `parameters` nor `repeat` has a" if self.given else "`repeat` has no"
            self.faults.error(place, f"{has_none} mark `<{quote(name)}>`", advice)
            return False
        if name not in bound:
            self.faults.error(place, f"`<{quote(name)}>` has no value here", _WHERE)
            return False
        value = bound[name]
        if own and own not in self.marks[name][value]:
            self.faults.error(
                replace(place, within=_said(bound)),
                f"`{quote(value)}` has no entry `{quote(own)}` under `repeat`",
                f"write {quote(value)}: {{{quote(own)}: ...}} there",
            )
            return False
        return True

    def _fits_in_a_text(self, name: str, own: str, place: Place) -> bool:
        if own:
            self.faults.error(place, f"`{quote(name)}` is a parameter and has no entries", f"write <{name}>")
        elif not isinstance(self.given[name].value, str):
            problem = (
                f"`<{quote(name)}>` stands in the midst of a text, and is {kind_of(self.given[name].value)}"
            )
            self.faults.error(place, problem, "let it stand alone")
        else:
            return True
        return False

    def _count(self, signs: int) -> None:
        """Stop before what is written out outgrows any machine: few lines can stand for very many."""
        self._nodes += 1
        self._signs += signs
        if self._nodes > MOST_NODES or self._signs > _MOST_SIGNS:
            problem = f"written out, the file has more than {MOST_NODES:,} entries, or is far too long"
            self.faults.error(
                self.tree.place((REPEAT,), key=True), problem, "repeat less, or for fewer values"
            )
            raise _TooMuchError


def _said(bound: Bound) -> str:
    """The values that a text stands for: ``side left``."""
    return ", ".join(f"{quote(mark)} {quote(value)}" for mark, value in bound.items())


def _is_any(raw: object) -> bool:
    """Whether it is ``{any: [...]}``, of which only what is in its list stands for several."""
    return isinstance(raw, dict) and list(raw) == [ANY]


def _named_by(raw: object, source: Path) -> object:
    """What of an entry says how often it is there: of an include its name, since it can be given lists."""
    if source[:1] == ("include",) and len(source) <= 2 and isinstance(raw, dict) and "as" in raw:
        return raw["as"]
    return raw


def _takes_a_list(source: Path, raw: object) -> bool:
    """Whether a list is wanted there, of which one entry may stand without its brackets."""
    if not source or isinstance(source[-1], int):
        return False
    if source[-1] in _SHORT_LISTS and isinstance(raw, str):
        return True
    shape = shape_at(source)
    return typing.get_origin(shape) is list or (source[-1] == ANY and shape is None)
