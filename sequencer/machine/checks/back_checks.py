"""Tasks of the way back alone, and what is fitted after a task: what can't be meant."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.faults import quote
from sequencer.machine.reader.items import texts_in
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import DrainEntry, MachineEntry, TaskEntry, WasteEntry
from sequencer.machine.trade.links import TASKS, link, links
from sequencer.machine.trade.relations import FLUID, PART, TASK, UNDO, barring, listed

_OF_THE_WAY_IN = {
    "before": "say what is fitted after it: back_before",
    **{one.key: one.remedy.format(way=barring(UNDO).key) for one in links(TASK)},
    "undo": "take it out: nothing is done in return",
}


def named_otherwise(entry: MachineEntry, task: str) -> dict[Path, tuple[str, str]]:
    """The entries of a task's relations that name no part: their places, each with the name and its section.

    Only a task of the way back has such. A part goes before a fluid, and a fluid before a task.
    """
    found: dict[Path, tuple[str, str]] = {}
    for where, name in _names_listed((entry.tasks or {})[task], task):
        if name not in entry.parts:
            for section in ("fluids", "tasks"):
                if name in (getattr(entry, section) or {}):
                    found.setdefault(where, (name, section))
    return found


def plainly_named(task: TaskEntry, name: str) -> dict[Path, str]:
    """The places in the relations of a task of the way back that may name a part, a fluid or a task."""
    plain = dict(_names_listed(task, name))
    return {where: one for where, one in plain.items() if one.strip() and not {"/", "="} & set(one)}


def _names_listed(task: TaskEntry, name: str) -> Iterator[tuple[Path, str]]:
    for relation, raw in listed(task, TASK) if task.only else ():
        for number, one in enumerate(raw or []):
            if isinstance(one, str):
                yield ("tasks", name, relation.key, number), one


def check_back(scope: Scope, name: str, task: TaskEntry) -> None:
    """Note what a task of the way back says of the way in, and what it waits for in vain."""
    path: Path = ("tasks", name)
    for where, part in scope.texts(task.back_before, (*path, "back_before")):
        scope.knows("parts", part, where)
    if task.only:
        _check_only(scope, name, task, path)
    elif task.back_before:
        first = name in texts_in(scope.entry.first)
        if first or task.undo is None:
            why = "is undone last of all" if first and task.undo else "is not done on the way back"
            scope.error(
                (*path, "back_before"),
                f"`{quote(name)}` {why}, so nothing is fitted after it",
                "give it an `undo`, or write only: back" if task.undo is None else "take it out",
                key=True,
            )


def _check_only(scope: Scope, name: str, task: TaskEntry, path: Path) -> None:
    for key, remedy in _OF_THE_WAY_IN.items():
        if getattr(task, key) is not None:
            scope.error(
                (*path, key),
                f"`{quote(name)}` is done on the way back alone, without `{key}`",
                remedy,
                key=True,
            )
    for here, other in plainly_named(task, name).items():
        scope.knows_any(("parts", "fluids", "tasks"), other, here)
    there = (scope.entry.positions or {}).get(task.from_ or next(iter(scope.names("positions")), ""))
    kept = {
        "tasks": {*texts_in(task.after), *texts_in(there.needs if there else None)},
        "fluids": {*texts_in(there.drained if there else None)},
    }
    for here, (other, section) in named_otherwise(scope.entry, name).items():
        if other in kept[section]:
            how = "undone" if section == "tasks" else "filled"
            scope.error(
                here,
                f"`{quote(other)}` is {how} before `{quote(name)}`, which is done while it is not",
                "take it out here, or out of what it is after or its position asks for",
            )
        elif not ever_back(scope.entry, other, section):
            how = "has no `undo`" if section == "tasks" else "is not filled again"
            scope.error(
                here, f"`{quote(other)}` {how}, so `{quote(name)}` can't wait for that", "take it out"
            )
    waits = any(raw for _, raw in listed(task, TASK))
    if not (waits or task.back_before or _called_for(scope, name)):
        scope.warning(
            path,
            f"nothing calls for `{quote(name)}`, so it is never done",
            f"say after what it is done ({barring(UNDO).key}: [coolant]), "
            "or what is fitted after it (back_before)",
            key=True,
        )


def ever_back(entry: MachineEntry, name: str, section: str) -> bool:
    """Whether a fluid is filled, or a task undone or done, on the way back."""
    if section == "fluids":
        return not isinstance((entry.fluids or {})[name].fill, WasteEntry)
    other = (entry.tasks or {})[name]
    return other.only is not None or other.undo is not None


def _called_for(scope: Scope, name: str) -> bool:
    return any(name in texts_in(task.after) for task in (scope.entry.tasks or {}).values() if task.only)


def check_again(scope: Scope, fluid: str, drain: DrainEntry) -> None:
    """Note a second draining after what is no part, or was off before the first, or said twice."""
    path: Path = ("fluids", fluid, "drain")
    said = [((*path, "again_after"), drain.again_after)]
    if drain.plug is not None:
        said.append(((*path, "plug", "again_after"), drain.plug.again_after))
    known = [(where, part) for where, part in said if part is not None]
    for where, part in known:
        if not scope.knows("parts", part, where):
            continue
        if asked := next((one for one, raw in listed(drain, FLUID) if part in (raw or [])), None):
            scope.error(
                where,
                f"`{quote(part)}` is off before `{quote(fluid)}` is drained at all",
                f"take it out, or out of `{asked.key}`",
            )
    if len({part for _, part in known}) > 1:
        scope.error(known[1][0], "`again_after` is beside the plug, and of it", "keep one of them", key=True)


def check_not_of_the_way_back(scope: Scope) -> None:
    """Note whatever of the way in waits for a task that is done on the way back alone."""
    only = {name for name, task in (scope.entry.tasks or {}).items() if task.only}
    for path, raw in _waits(scope.entry) if only else ():
        for number, name in enumerate(raw or []):
            if isinstance(name, str) and name in only:
                scope.error(
                    (*path, number),
                    f"`{quote(name)}` is done on the way back alone (only: back)",
                    "take it out, or name a task of the way in",
                )


def _waits(entry: MachineEntry) -> Iterator[tuple[Path, list[object] | None]]:
    yield ("first",), entry.first
    for name, at in (entry.positions or {}).items():
        yield ("positions", name, "needs"), at.needs
    for name, task in (entry.tasks or {}).items():
        if not task.only:
            yield ("tasks", name, "after"), task.after
    for name, part in entry.parts.items():
        by = link(PART, TASKS)
        yield ("parts", name, by.key), by.of(part)
        for key, joint in (part.joints or {}).items():
            yield ("parts", name, "joints", key, by.key), by.of(joint)
