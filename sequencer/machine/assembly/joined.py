"""What a machine file includes put behind what it says itself, and what that says of it laid over it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sequencer.machine.faults import Faults, nearest, quote, suggestion
from sequencer.machine.reader.merge import laid_over
from sequencer.machine.reader.repeat import SECTIONS, Made, Origin, WrittenOut
from sequencer.machine.reader.repeat_marks import Outside
from sequencer.machine.reader.yaml_tree import Path, Tree
from sequencer.machine.schema.include_entry import IncludeEntry


@dataclass(frozen=True)
class Brought:
    """What one include comes to.

    Attributes:
        item: The include.
        path: Where it is.
        tree: The assembly as this machine has it.
        made_of: The assembly, and what it includes.
        wanted: What was given by name: the section, the name, and where that is written.
    """

    item: IncludeEntry
    path: Path
    tree: Tree
    made_of: tuple[Made, ...]
    wanted: tuple[tuple[str, str, Path], ...]


def joined(written: WrittenOut, brought: list[Brought], faults: Faults) -> WrittenOut | None:
    """The whole; ``None`` after noting that two includes bring the same."""
    return _Joining(written, brought, faults).joined()


class _Joining:
    def __init__(self, written: WrittenOut, brought: list[Brought], faults: Faults) -> None:
        self.own = written.tree
        self.written = written
        self.brought = brought
        self.faults = faults
        self.out = Tree(self.own.file)
        self.origins: dict[Path, Origin] = {}

    def joined(self) -> WrittenOut | None:
        """The whole; ``None`` after noting that two includes bring the same."""
        own, out = self.own, self.out
        sections = {section: self._included(section) for section in SECTIONS}
        if self.faults.fatal:
            return None
        out.take_all(own, (), (), {key: one for key, one in own.data.items() if key not in SECTIONS})
        out.data = {key: one for key, one in own.data.items() if key not in SECTIONS}
        for section, included in sections.items():
            if not included and section not in own.data:
                continue
            first = next(iter(included.values())).tree if section not in own.data else own
            out.take(first, (section,), (section,))
            raw = own.data.get(section)
            mine = raw if isinstance(raw, dict) else {}
            alone = {name: one for name, one in mine.items() if name not in included}
            for name, one in alone.items():
                out.take_all(own, (section, name), (section, name), one)
            theirs = {name: self._laid(section, name, one, mine) for name, one in included.items()}
            out.data[section] = raw if raw is not None and not isinstance(raw, dict) else {**alone, **theirs}
            self._warn_of_slips(section, alone, included)
        self._add_lists()
        if not self._has_what_is_wanted():
            return None
        origins = {**self.written.origins, **self.origins}
        missing = {
            f"{one.item.prefix}{name}": self.own.place((*one.path, "without"), key=True)
            for one in self.brought
            for name in one.item.without or []
        }
        out.left_out = {**out.left_out, **own.left_out, **missing}
        for one in self.brought:
            prefixed = {f"{one.item.prefix}{name}": place for name, place in one.tree.left_out.items()}
            out.left_out = {**prefixed, **out.left_out}
        made_of = tuple(made for one in self.brought for made in one.made_of)
        return replace(self.written, tree=out, origins=origins, made_of=made_of)

    def _has_what_is_wanted(self) -> bool:
        """Whether all that was given by name is there; notes what is not."""
        for section, name, path in (wanted for one in self.brought for wanted in one.wanted):
            known = self.out.data.get(section) or {}
            if isinstance(known, dict) and name not in known and not isinstance(name, Outside):
                problem = f"there is no {section[:-1]} `{quote(name)}`"
                advice = suggestion(name, known, f"add it under {section}")
                self.faults.error(self.own.place(path), problem, advice)
        return not self.faults.fatal

    def _included(self, section: str) -> dict[str, Brought]:
        """By whom each name of a section was brought."""
        found: dict[str, Brought] = {}
        for one in self.brought:
            for name, about in (one.tree.data.get(section) or {}).items():
                former = found.get(name)
                same = former is not None and former.tree.data[section][name] == about
                if former is not None and not (section == "tools" and same):
                    self._refuse_second(section, name, one, former)
                found.setdefault(name, one)
        return found

    def _refuse_second(self, section: str, name: str, one: Brought, former: Brought) -> None:
        line = self.own.place(former.path).line
        if section == "tools":
            problem = f"its tool `{quote(name)}` is another one than that of the include in line {line}"
            remedy = f"say which of the machine's it is: tools: {{{quote(name)}: ...}}"
        elif one.item.as_ == former.item.as_:
            problem = f"`{quote(one.item.as_)}` is taken by the include in line {line}"
            remedy = "give one of them another name"
        else:
            problem = f"`{quote(name)}` comes from the include in line {line} as well"
            remedy = "give one of them another `as`"
        self.faults.error(self.own.place((*one.path, "as")), problem, remedy)

    def _laid(self, section: str, name: str, one: Brought, mine: Mapping[str, Any]) -> Any:  # noqa: ANN401
        """An entry that was brought, with what the file says of it laid over it."""
        path: Path = (section, name)
        base = one.tree.data[section][name]
        self.out.take_all(one.tree, path, path, base)
        origin = self.written.origins.get(path, Origin((), {}))
        theirs = base if origin.base is None else _over(base, origin.base, path)
        self.origins[path] = replace(origin, base=theirs, assembly=one.item.assembly)
        if mine.get(name) is None:
            return base
        return laid_over(base, mine[name], self.out, path, self.own, path)

    def _warn_of_slips(self, section: str, alone: Mapping[str, Any], included: Mapping[str, Brought]) -> None:
        """A name that is nearly one that was brought, and says little: it was probably meant."""
        for name, about in alone.items():
            prefixes = {one: brought.item.prefix for one, brought in included.items()}
            whose = [one for one, prefix in prefixes.items() if prefix and name.startswith(prefix)]
            says_little = section == "parts" and isinstance(about, dict) and not about.get("joints")
            near = nearest(name, whose) if whose and says_little else None
            if near is not None and (section, name) not in self.written.origins:
                problem = f"`{quote(name)}` is a part of its own here: the include brings none of that name"
                place = self.own.place((section, name), key=True)
                self.faults.warning(place, problem, f"did you mean `{quote(near)}`?")

    def _add_lists(self) -> None:
        """The tasks that come first, and the walks that the machine does not have itself."""
        for key in ("first", "walks"):
            there = self.out.data.get(key)
            one_walk = key == "walks" and isinstance(there, list) and all(isinstance(e, str) for e in there)
            found = (
                [there] if one_walk else list(there) if isinstance(there, list) else [there] if there else []
            )
            before = len(found)
            known = [_pair(one) for one in found]
            for one in self.brought:
                raw = one.tree.data.get(key)
                if raw and key not in self.out.data:
                    self.out.take(one.tree, (key,), (key,))
                entries = raw if isinstance(raw, list) else [raw] if raw else []
                alone = key == "walks" and entries and all(isinstance(e, str) for e in entries)
                for number, entry in [(None, entries)] if alone else enumerate(entries):
                    pair = _pair(entry)
                    if pair in known or (isinstance(pair, frozenset) and len(pair) == 1):
                        continue
                    source = (key,) if number is None or not isinstance(raw, list) else (key, number)
                    self.out.take_all(one.tree, source, (key, len(found)), entry)
                    known.append(pair)
                    found.append(entry)
            if len(found) > before:
                self.out.data[key] = found


def _pair(entry: object) -> object:
    """What tells an entry of ``walks`` or ``first`` from others: a walk holds both ways."""
    return frozenset(map(str, entry[:2])) if isinstance(entry, list) and len(entry) == 3 else entry


def _over(base: Any, over: Any, path: Path) -> Any:  # noqa: ANN401 - as a file has it
    nowhere = Tree("")
    return laid_over(base, over, nowhere, path, nowhere, path)
