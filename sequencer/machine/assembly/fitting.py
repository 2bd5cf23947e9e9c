"""An assembly as one machine has it: its names with a prefix, its positions and tools the machine's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sequencer.machine.assembly.references import MISSED, REFERENCES, Keys, ReferenceKind
from sequencer.machine.facts.basics import Subject
from sequencer.machine.faults import Faults, quote
from sequencer.machine.reader.items import ANY
from sequencer.machine.reader.merge import SHORT
from sequencer.machine.reader.repeat_marks import Outside
from sequencer.machine.reader.yaml_tree import Path, Tree

NAMED = ("parts", "tasks", "fluids")
"""Sections whose names all get the prefix."""

_GONE = object()
"""What is left of a value that only named what the machine does not have."""


@dataclass(frozen=True)
class Fit:
    """How an assembly fits a machine.

    Attributes:
        prefix: What its names begin with there: ``rf-``.
        where: What its labels end with, ``, right front``; or nothing.
        places: The machine's positions that stand for its own; with no name for its first one.
        tools: The machine's tools that stand for its own.
        gone: What the machine does not have: names of parts, tasks, fluids, and ``part/joint``.
        within: What messages say after the assembly's own line.
        folder: Where its files lie from the machine file's folder on, with a slash at the end; or nothing.
    """

    prefix: str
    where: str
    places: Mapping[str, str]
    tools: Mapping[str, str]
    gone: frozenset[str]
    within: str
    folder: str


def fitted(tree: Tree, fit: Fit, faults: Faults) -> Tree:
    """The assembly ``tree``, its parameters filled in, as the machine has it."""
    return _Fitting(tree, fit, faults).tree()


@dataclass
class _Fitting:
    source: Tree
    fit: Fit
    faults: Faults
    out: Tree = field(init=False)
    places: dict[str, str] = field(init=False)
    first: str = field(init=False)

    def tree(self) -> Tree:
        self.out = Tree(self.source.file)
        self.out.take(self.source, (), (), self.fit.within)
        data = self.out.data = {}
        own = self.source.data.get("positions") or {}
        first = next(iter(own), "")
        self.places = {name or first: place for name, place in self.fit.places.items()}
        self.first = self._place(first) if first or self.places else ""
        for section in REFERENCES:
            if isinstance(entries := self.source.data.get(section), dict):
                self._take((section,), (section,))
                data[section] = self._section(section, entries)
        for key in ("first", "walks"):
            if (raw := self.source.data.get(key)) is not None:
                kind = ReferenceKind.NAMES if key == "first" else ReferenceKind.PLACE
                value = self._list(raw, kind, (key,), (key,))
                data |= {} if value is _GONE else {key: value}
        return self.out

    def _take(self, source: Path, to: Path) -> None:
        self.out.take(self.source, source, to, self.fit.within)

    # ---- Entries ----

    def _section(self, section: str, entries: dict[str, Any]) -> dict[str, Any]:
        found = {}
        stand_ins = {"positions": self.places, "tools": self.fit.tools}.get(section, {})
        for name, raw in entries.items():
            source: Path = (section, name)
            if name in stand_ins or (section in NAMED and name in self.fit.gone):
                continue
            if isinstance(name, Outside):
                problem = f"`{quote(name)}` is the machine's own, and can't be described in the assembly"
                self.faults.error(self.source.place(source, key=True), problem, "give it a name of its own")
                continue
            new = name if section == "tools" else self._renamed(name)
            self._take(source, (section, new))
            value = self._value(raw, (), source, (section, new))
            found[new] = self._placed(section, value)
        return found

    def _value(self, raw: Any, keys: Keys, source: Path, to: Path) -> Any:  # noqa: ANN401 - as a file has it
        """A value under ``keys`` of an entry of a section."""
        self._take(source, to)
        kind = REFERENCES[str(source[0])].get(keys)
        if kind is not None and not (isinstance(raw, dict) and keys[-1] in SHORT):
            if kind in (ReferenceKind.NAMES, ReferenceKind.OWN, *MISSED):
                return self._list(raw, kind, source, to)
            return [self._text(one, kind) for one in raw] if isinstance(raw, list) else self._text(raw, kind)
        if isinstance(raw, list):
            return [self._value(one, (*keys, ""), (*source, n), (*to, n)) for n, one in enumerate(raw)]
        return self._mapping(raw, keys, source, to) if isinstance(raw, dict) else _plain(raw)

    def _mapping(self, raw: dict[str, Any], keys: Keys, source: Path, to: Path) -> Any:  # noqa: ANN401
        found: dict[str, Any] = {}
        for key, one in raw.items():
            if keys == ("joints",) and f"{source[1]}/{key}" in self.fit.gone:
                continue
            below = (*keys, "*" if keys == ("joints",) else key)
            value = self._value(one, below, (*source, key), (*to, key))
            if value is not _GONE:
                found[str(key)] = value
        lost = keys[-1:] == ("crack",) and "while" in raw and "while" not in found
        return _GONE if lost else found

    def _placed(self, section: str, entry: Any) -> Any:  # noqa: ANN401
        """An entry with the position that it has by being in the assembly, where it says none."""
        first = self.first
        if not first or section not in NAMED or not isinstance(entry, dict | None):
            return entry
        entry = {} if entry is None else entry
        if section != "fluids":
            return entry if entry.get("from") else {**entry, "from": first}
        for key in ("drain", "fill"):
            work = entry.get(key)
            if isinstance(work, dict | None) and not (work or {}).get("from"):
                entry = {**entry, key: {**(work or {}), "from": first}}
        return entry

    # ---- Names ----

    def _text(self, raw: Any, kind: ReferenceKind) -> Any:  # noqa: ANN401
        if not isinstance(raw, str):
            return raw
        if kind is ReferenceKind.LABEL:
            return f"{raw}{self.fit.where}"
        if isinstance(raw, Outside):
            return raw.one_up()
        if kind is ReferenceKind.PLACE:
            return self._place(raw)
        if kind is ReferenceKind.TOOL:
            return self.fit.tools.get(raw, raw)
        return f"{self.fit.folder}{raw}" if kind is ReferenceKind.FILE else self._renamed(raw)

    def _place(self, name: str) -> str:
        return self.places.get(name) or self._renamed(name)

    def _renamed(self, name: str) -> str:
        return name.one_up() if isinstance(name, Outside) else f"{self.fit.prefix}{name}"

    def _list(self, raw: Any, kind: ReferenceKind, source: Path, to: Path) -> Any:  # noqa: ANN401
        """Names, each or all of them, also written without the brackets of their list."""
        self._take(source, to)
        if not isinstance(raw, list):
            return self._name(raw, kind, source, to)
        found: list[Any] = []
        for number, one in enumerate(raw):
            value = self._list(one, kind, (*source, number), (*to, len(found)))
            if value is not _GONE:
                found.append(value)
        return _GONE if raw and not found else found

    def _name(self, raw: Any, kind: ReferenceKind, source: Path, to: Path) -> Any:  # noqa: ANN401
        if isinstance(raw, dict):
            return self._state(raw, kind, source, to)
        if kind is ReferenceKind.PLACE:  # of a walk, whose time is none
            is_place = raw in (self.source.data.get("positions") or {}) or isinstance(raw, Outside)
            return self._text(raw, kind) if is_place else raw
        if not isinstance(raw, str):
            return raw
        its_own = kind is ReferenceKind.OWN and not Subject(raw).of_joint
        if kind not in MISSED and self._is_gone(f"{source[1]}/{raw}" if its_own else raw):
            return _GONE
        return _plain(raw) if its_own else self._renamed(raw)

    def _state(self, raw: dict[str, Any], kind: ReferenceKind, source: Path, to: Path) -> Any:  # noqa: ANN401
        """``{hub: off}``, or ``{any: [...]}``."""
        if list(raw) == [ANY]:
            return self._any(raw[ANY], kind, source, to)
        if kind is ReferenceKind.NAMES and any(self._is_gone(key) for key in raw):
            return _GONE
        for key in raw:
            self._take((*source, key), (*to, self._renamed(key)))
        return {self._renamed(key): one for key, one in raw.items()}

    def _any(self, raw: Any, kind: ReferenceKind, source: Path, to: Path) -> Any:  # noqa: ANN401
        """One of several will do: what is not there is clear, so that nothing is in the way any more."""
        entries = raw if isinstance(raw, list) else [raw]
        names = [one for entry in entries for one in (entry if isinstance(entry, dict) else [entry])]
        if kind is ReferenceKind.NAMES and any(isinstance(one, str) and self._is_gone(one) for one in names):
            return _GONE
        return {ANY: self._list(raw, kind, (*source, ANY), (*to, ANY))}

    def _is_gone(self, name: str) -> bool:
        is_inside = not isinstance(name, Outside)
        return is_inside and (name in self.fit.gone or Subject(name).part in self.fit.gone)


def _plain(raw: Any) -> Any:  # noqa: ANN401
    return raw.one_up() if isinstance(raw, Outside) else raw
