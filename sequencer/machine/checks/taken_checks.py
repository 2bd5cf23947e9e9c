"""What a person can get wrong in how a machine came apart, and what its entries name."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.facts.taken import NOT_TAKEN_APART, Free, TakenApart, Told
from sequencer.machine.faults import nearest, quote
from sequencer.machine.model import Atom, State
from sequencer.machine.reader.items import as_written, read_item
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path, Tree
from sequencer.machine.schema.entries import MachineEntry
from sequencer.machine.schema.entry import Entry

ORDER: Path = ("taken_apart", "order")


def taken_apart(entry: MachineEntry, tree: Tree) -> TakenApart:
    """How it came apart; what is faulty is left out."""
    taken = entry.taken_apart
    if taken is None:
        return NOT_TAKEN_APART
    here: Path = ("taken_apart",)
    free = []
    for number, one in enumerate(taken.free or []):
        path: Path = (*here, "free", number)
        then = None if one.then is None else _all(entry, tree, one.then, (*path, "then"))
        first = _all(entry, tree, one.first, (*path, "first"))
        free.append(Free(first, then, one.source, tree.place(path)))
    return TakenApart(
        _all(entry, tree, taken.order, ORDER),
        tuple(free),
        _all(entry, tree, taken.guessed, (*here, "guessed")),
    )


def check_taken_apart(scope: Scope) -> None:
    """Note what the order names in vain or twice, and what is said of things that are not in it."""
    taken = scope.entry.taken_apart
    if taken is None:
        return
    in_order = dict(_checked(scope, taken.order, ORDER))
    lists: list[tuple[Path, list[object] | None]] = [(("taken_apart", "guessed"), taken.guessed)]
    for number, one in enumerate(taken.free or []):
        path: Path = ("taken_apart", "free", number)
        lists += [((*path, "first"), one.first), ((*path, "then"), one.then)]
        if not one.first:
            scope.error((*path, "first"), "nothing is named here", "write first: [bracket]")
    for here, raw in lists:
        for told, where in _checked(scope, raw, here):
            if told not in in_order:
                names = [as_written(one.atom) for one in in_order]
                same = (as_written(one.atom) for one in in_order if one.atom.part == told.atom.part)
                near = next(same, None) or nearest(as_written(told.atom), names)
                scope.warning(
                    where,
                    f"`{quote(as_written(told.atom))}` is not in the order, so this says nothing",
                    f"did you mean `{quote(near)}`?" if near else "put it there, or take it out here",
                )


def check_unsure(scope: Scope, entry: Entry, raw: list[object] | None, path: Path) -> None:
    """What nobody said is a key that there is."""
    keys = list(entry.keys())
    for where, name in scope.texts(raw, (*path, "unsure")):
        if name not in keys:
            advice = scope.suggest(name, keys, f"{entry.called} has {', '.join(keys)}")
            scope.error(where, f"`{quote(name)}` is not a key of {entry.called}", advice)


def _section(entry: MachineEntry, name: str) -> str | None:
    """Where a name is; a part goes before a fluid, and a fluid before a task."""
    sections = (("parts", entry.parts), ("fluids", entry.fluids or {}), ("tasks", entry.tasks or {}))
    return next((section for section, names in sections if name in names), None)


def _all(entry: MachineEntry, tree: Tree, raw: list[object] | None, path: Path) -> tuple[Told, ...]:
    """The things of a list, each once."""
    found: dict[Told, None] = {}
    for number, one in enumerate(raw or []):
        here = (*path, number)
        for spotted in read_item(one, here).atoms:
            section = _section(entry, spotted.atom.part)
            if section is not None:
                found.setdefault(Told(section, spotted.atom, tree.place(here)))
    return tuple(found)


def _checked(scope: Scope, raw: list[object] | None, path: Path) -> Iterator[tuple[Told, Path]]:
    """The things of a list that name something, each once; notes the others."""
    seen: dict[Told, int] = {}
    for number, one in enumerate(raw or []):
        here = (*path, number)
        item = read_item(one, here, alone=True)
        for where, problem, remedy in item.problems:
            scope.error(where, problem, remedy)
        if len(item.atoms) > 1 or (isinstance(one, dict) and "any" in one):
            scope.error(here, "one thing at a time was done", "write the one that it was")
            continue
        for spotted in item.atoms:
            section = _known(scope, spotted.atom, spotted.path, key=spotted.key)
            if section is None:
                continue
            told = Told(section, spotted.atom, scope.place(here))
            if told in seen:
                first = f"the first is in line {seen[told]}"
                name = quote(as_written(told.atom))
                scope.error(here, f"`{name}` is in this list twice; {first}", "take one of them out")
                continue
            seen[told] = told.place.line
            yield told, here


def _known(scope: Scope, atom: Atom, path: Path, *, key: bool) -> str | None:
    """The section of what can be done on the way in; notes the fault if it can't."""
    plain = atom.joint is None and atom.state is State.OFF
    section = _section(scope.entry, atom.part)
    if plain and section == "tasks" and (scope.entry.tasks or {})[atom.part].only:
        problem = f"`{quote(atom.part)}` is done on the way back alone (only: back)"
        scope.error(path, problem, "take it out, or name a task of the way in")
        return None
    if plain:
        return section if scope.knows_any(("parts", "fluids", "tasks"), atom.part, path) else None
    if not scope.knows("parts", atom.part, path, key=key):
        return None
    if atom.joint is not None:
        return "parts" if scope.knows_joint(atom.part, atom.joint, path) else None
    word = atom.state.word
    part = scope.entry.parts.get(atom.part)
    if part is None or atom.state is State.OFF or getattr(part, word) is not None:
        return section
    if scope.tree.at(("parts", atom.part, word)) is None:
        how = "moved aside" if atom.state is State.ASIDE else "loosened"
        problem = f"`{quote(atom.part)}` can't be {how}: it has no `{word}`"
        scope.error(path, problem, f"write {word}: yes under it", key=key)
    return None
