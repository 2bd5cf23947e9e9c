"""What a machine file includes, put among what it says itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from sequencer.machine.assembly.fitting import NAMED, Fit, fitted
from sequencer.machine.assembly.joined import Brought, joined
from sequencer.machine.assembly.parameters import NOTHING, Parameter, parameters_of, values
from sequencer.machine.assembly.shelf import Shelf, Source, Spot
from sequencer.machine.assembly.version import check_version
from sequencer.machine.facts.framing import placed
from sequencer.machine.faults import Faults, quote, suggestion
from sequencer.machine.model import Place, Subject
from sequencer.machine.reader.entries_of import validated
from sequencer.machine.reader.repeat import SECTIONS, Made, WrittenOut, write_out
from sequencer.machine.reader.yaml_tree import BROKEN, MOST_NODES, Path, Tree
from sequencer.machine.schema.fields import kind_of
from sequencer.machine.schema.include_entry import INCLUDE, IncludeEntry

HEAD = ("assembly", "version", "about", "changes", "parameters", "frame")
"""What an assembly says of itself."""

KEYS = (*HEAD, "repeat", INCLUDE, *SECTIONS, "walks", "first")

MOST_DEEP = 8
"""So many assemblies inside each other."""

MOST_INCLUDES = 500
"""And so many in all."""


def include(written: WrittenOut, spot: Spot, faults: Faults, *, bare: bool = False) -> WrittenOut | None:
    """What a file says with all that it includes; ``None`` after noting what is wrong with that.

    ``bare``: the names of what it includes itself get no prefix.
    """
    inner = Faults()
    try:
        found = _Including(Shelf(inner), inner, bare=bare).into(written, spot, ())
    except _TooMuchError:
        found = None
    for fault in inner.sorted():
        faults.add(fault)
    return None if inner.fatal else found


class _TooMuchError(Exception):
    """More is included than any machine has; the fault is noted."""


class _Including:
    """Puts together a file and what it includes, and what that includes."""

    def __init__(self, shelf: Shelf, faults: Faults, *, bare: bool) -> None:
        self.shelf = shelf
        self.faults = faults
        self.bare = bare
        self._includes = self._nodes = 0

    def into(self, written: WrittenOut, spot: Spot, chain: tuple[Source, ...]) -> WrittenOut | None:
        """The file ``written``, which lies at ``spot`` and is included by the files of ``chain``."""
        tree = written.tree
        raw = tree.data.get(INCLUDE)
        entries = raw if isinstance(raw, list) else [] if raw is None else [raw]
        brought: list[Brought] = []
        for number, one in enumerate(entries):
            path: Path = (INCLUDE, number) if isinstance(raw, list) else (INCLUDE,)
            if one is not BROKEN and (found := self._one(tree, one, path, spot, chain)) is not None:
                brought.append(found)
        if self.faults.fatal:
            return None
        return joined(written, brought, self.faults)

    def _one(
        self, tree: Tree, raw: object, path: Path, spot: Spot, chain: tuple[Source, ...]
    ) -> Brought | None:
        """What one entry of ``include`` comes to."""
        item = _as_written(validated(IncludeEntry, raw, path, tree, self.faults), raw)
        if item is None or not self._is_fit(tree, item, path):
            return None
        if self.bare and not chain:
            item = item.model_copy(update={"as_": ""})
        place = tree.place((*path, "assembly"))
        self._count(place, includes=1)
        source = self.shelf.find(item.assembly, spot, place)
        assembly = None if source is None or self._is_circle(source, chain, place) else source.tree
        if source is None or assembly is None or not self._is_assembly(assembly, item, place):
            return None
        check_version(item, tree, path, source, self.faults)
        inside = self._filled(item, tree, path, source, chain)
        fit = None if inside is None else self._fit(tree, item, path, inside.tree, source.folder)
        if inside is None or fit is None:
            return None
        self._count(place, nodes=_size(inside.tree.data))
        of_it = (replace(one, prefix=f"{item.prefix}{one.prefix}") for one in inside.made_of)
        made = Made(item.assembly, item.as_, str(assembly.data.get("version") or ""), source.path)
        wanted = tuple(_wanted(item, path, parameters_of(assembly, self.faults)))
        found = fitted(inside.tree, fit, self.faults)
        if item.frame is not None or "frame" in assembly.data:
            placed(found.data.get("parts"), item.frame)
        return Brought(item, path, found, (made, *of_it), wanted)

    def _filled(
        self, item: IncludeEntry, tree: Tree, path: Path, source: Source, chain: tuple[Source, ...]
    ) -> WrittenOut | None:
        """The assembly with the values of its parameters, all written out, and with what it includes."""
        assembly = source.tree
        assert assembly is not None
        parameters = parameters_of(assembly, self.faults)
        given = values(parameters, assembly, item.with_, tree, (*path, "with"), self.faults)
        text = None if given is None or self.faults.fatal else write_out(assembly, self.faults, given)
        return None if text is None else self.into(text, source.spot, (*chain, source))

    def _is_fit(self, tree: Tree, item: IncludeEntry, path: Path) -> bool:
        name = item.as_
        if name and name == name.strip() and not any(sign in name for sign in "/=<>\n"):
            return True
        problem = f"`{quote(name)}` can't be what names begin with" if name.strip() else "`as` says no name"
        self.faults.error(tree.place((*path, "as")), problem, "write a word without / and =: as: rf")
        return False

    def _is_circle(self, source: Source, chain: tuple[Source, ...], place: Place) -> bool:
        files = [one.path for one in chain]
        if source.path in files:
            ring = [*files[files.index(source.path) :], source.path]
            way = " → ".join(one.name for one in ring)
            self.faults.error(place, f"this assembly includes itself: {way}", "take one of them out")
            return True
        if len(chain) >= MOST_DEEP:
            problem = f"there are more than {MOST_DEEP} assemblies inside each other"
            self.faults.error(place, problem, "include one of them in the machine file itself")
            return True
        return False

    def _is_assembly(self, tree: Tree, item: IncludeEntry, place: Place) -> bool:
        """Whether a file is an assembly, with no key that has no place in one."""
        if not isinstance(tree.data, dict) or not isinstance(tree.data.get("assembly"), str):
            problem = f"`{quote(item.assembly)}` is no assembly: it does not say `assembly:` and its name"
            self.faults.error(place, problem, "name a file that does")
            return False
        for key in tree.data:
            if key not in KEYS:
                advice = suggestion(key, KEYS, f"an assembly has {', '.join(KEYS)}")
                where = tree.place((key,), key=True)
                self.faults.error(where, f"`{quote(key)}` is not a key of an assembly", advice, "structure")
        for section in SECTIONS:
            raw = tree.data.get(section)
            if raw is not None and not isinstance(raw, dict):
                problem = f"`{section}` wants names with a colon, and this is {kind_of(raw)}"
                self.faults.error(tree.place((section,)), problem, "write each as name: {...}", "structure")
        return not self.faults.fatal

    def _fit(self, tree: Tree, item: IncludeEntry, path: Path, inside: Tree, folder: str) -> Fit | None:
        """How the assembly fits; ``None`` after noting that it names what is not in it, or not here."""
        within = f"included as {item.as_} in {tree.place(path)}"
        places, tools = dict(item.at or {}), dict(item.tools or {})
        known = {section: inside.data.get(section) or {} for section in SECTIONS}
        good = True
        for key, section, given in (("at", "positions", places), ("tools", "tools", tools)):
            for name in given:
                if name and name not in known[section]:
                    good = False
                    problem = f"`{quote(item.assembly)}` has no {section[:-1]} `{quote(name)}`"
                    where = tree.place((*path, key, name), key=True)
                    self.faults.error(where, problem, suggestion(name, known[section], "take it out"))
        gone = [one for one in item.without or [] if isinstance(one, str)]
        for number, name in enumerate(item.without or []):
            named = Subject(name if isinstance(name, str) else "")
            about = known["parts"].get(named.part)
            joints = (about.get("joints") or {}) if isinstance(about, dict) else {}
            if named.joint in joints if named.of_joint else any(named in known[section] for section in NAMED):
                continue
            good = False
            has = [f"{named.part}/{one}" for one in joints] or [one for of in NAMED for one in known[of]]
            problem = f"`{quote(item.assembly)}` has no `{quote(name)}` to leave out"
            where = tree.place((*path, "without", number))
            self.faults.error(where, problem, suggestion(str(name), has, "take it out"))
        ending = f", {item.where}" if item.where else ""
        fit = Fit(item.prefix, ending, places, tools, frozenset(gone), within, folder)
        return fit if good else None

    def _count(self, place: Place, *, includes: int = 0, nodes: int = 0) -> None:
        """Stop before what is included outgrows any machine."""
        self._includes += includes
        self._nodes += nodes
        if self._includes > MOST_INCLUDES or self._nodes > MOST_NODES:
            problem = (
                f"what is included comes to more than {MOST_INCLUDES} assemblies or {MOST_NODES:,} entries"
            )
            self.faults.error(place, problem, "include less")
            raise _TooMuchError


def _as_written(item: IncludeEntry | None, raw: object) -> IncludeEntry | None:
    """The include with its names as they are: a model makes plain texts of what comes from outside."""
    if item is None or not isinstance(raw, dict):
        return item
    at = raw.get("at")
    return item.model_copy(update={"at": {"": at} if isinstance(at, str) else at, "tools": raw.get("tools")})


def _wanted(
    item: IncludeEntry, path: Path, parameters: Mapping[str, Parameter]
) -> Iterator[tuple[str, str, Path]]:
    """What is given by its name alone, with its section and its place: positions, fluids, tasks, parts."""
    for spot, place in (item.at or {}).items():
        yield "positions", place, (*path, "at", spot) if spot else (*path, "at")
    for name, value in (item.with_ or {}).items():
        section = f"{parameters[name].kind}s"
        if section in ("positions", *NAMED):
            entries = enumerate(value) if isinstance(value, list) else [(None, value)]
            for number, one in entries:
                where = (*path, "with", name) if number is None else (*path, "with", name, number)
                if one != NOTHING:
                    yield section, one, where


def _size(data: object) -> int:
    if isinstance(data, dict | list):
        return 1 + sum(map(_size, data.values() if isinstance(data, dict) else data))
    return 1
