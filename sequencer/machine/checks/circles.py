"""What waits for itself in plain sight: a part behind itself, a task before what it is behind.

Longer circles show only when a target is asked for; the graph explains those.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from sequencer.machine.faults import quote
from sequencer.machine.model import Atom, State, Subject
from sequencer.machine.reader.items import (
    ListItem,
    Spotted,
    as_written,
    in_front,
    listed_items,
    texts_in,
    waiting_for,
)
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import PartEntry, TaskEntry
from sequencer.machine.schema.joint_entry import JointEntry
from sequencer.machine.trade.links import FLUIDS, TASKS, LinkKey, link
from sequencer.machine.trade.relations import FLUID, JOINT, PART, TASK, Relation, listed

_Joints = Collection[tuple[str, str]]


def check_circles(scope: Scope) -> None:
    """Note everything that can never be, because it waits for itself."""
    for name, part in scope.entry.parts.items():
        _check_own(scope, name, part)
        for joint_name, joint in (part.joints or {}).items():
            here: Path = ("parts", name, "joints", joint_name)
            label = f"`{quote(name)}/{quote(joint_name)}`"
            _never(scope, listed_items(joint, JOINT, here), (), {(name, joint_name)}, f"{label} is")
            if joint.crack is not None:
                _check_crack(scope, part, joint, here, label)
    first, needed = set(texts_in(scope.entry.first)), _waiting(scope, link(PART, TASKS))
    for name, task in (scope.entry.tasks or {}).items():
        if not task.only:
            _check_task(scope, name, task, *needed.get(name, (set(), set())), is_first=name in first)
    wetted = _waiting(scope, link(PART, FLUIDS))
    for name, fluid in (scope.entry.fluids or {}).items():
        if fluid.drain is not None:
            parts, joints = wetted.get(name, (set(), set()))
            items = listed_items(fluid.drain, FLUID, ("fluids", name, "drain"))
            _never(scope, items, parts, joints, f"`{quote(name)}` is drained")


def _never(
    scope: Scope,
    items: Iterable[tuple[ListItem, Relation]],
    parts: Collection[str],
    joints: _Joints,
    start: str,
) -> None:
    """Note the needs that touch, whichever way, one of ``parts`` or ``joints``.

    What a part or a joint says of itself is an error. A task or a drain that waits for what waits for it is a
    warning: only a job that asks for it is impossible, and says so itself.
    """
    for item, relation in items:
        shut = [spotted for spotted in item.atoms if _touches(scope, spotted.atom, parts, joints)]
        _note(scope, item, shut, f"{start} {relation.phrase}", error=item.path[0] == "parts")


def _note(scope: Scope, item: ListItem, shut: list[Spotted], start: str, *, error: bool = True) -> None:
    """Note the atoms of an item that can't be met; another way in makes a warning of it."""
    problem = ""
    if shut:
        other = f"`{quote(as_written(shut[0].atom))}`"
        itself = start.startswith(other)
        problem = f"{start} itself" if itself else f"{start} {other}, which waits for it in turn"
    if shut and len(shut) == len(item.atoms):
        say = scope.error if error else scope.warning
        say(item.path, problem, "name what is really in the way, or take it out")
    else:
        for spotted in shut:
            scope.warning(spotted.path, f"this way never opens: {problem}", "take it out", key=spotted.key)


def _ways(part: PartEntry | None, state: State) -> list[tuple[State, list[Any] | None]]:
    """The states that meet ``state``, each with the joints that it undoes or slackens; ``None`` for all."""
    ways: list[tuple[State, list[Any] | None]] = [(State.OFF, None)]
    if part is not None:
        for freedom, reached in ((part.aside, State.ASIDE), (part.loose, State.LOOSE)):
            if freedom is not None and reached >= state:
                ways.append((reached, freedom.joints or []))
    return ways


def _touches(scope: Scope, atom: Atom, parts: Collection[str], joints: _Joints) -> bool:
    """Whether meeting the atom, in whichever way, touches one of ``parts`` or undoes one of ``joints``."""
    if atom.part in parts:
        return True
    if atom.joint is not None:
        return (atom.part, atom.joint) in joints
    own = {joint for part, joint in joints if part == atom.part}
    ways = _ways(scope.entry.parts.get(atom.part), atom.state)
    return bool(own) and all(
        used is None or own.intersection(_own_names(used, atom.part)) for _, used in ways
    )


def _own_names(joints: list[Any], part: str) -> list[str]:
    return [Subject(joint).within(part) for joint in texts_in(joints)]


def _check_own(scope: Scope, name: str, part: PartEntry) -> None:
    """A part can wait for a state of its own to come away (loosened, then taken off), not for its removal.

    What bars the way to it can be nothing of its own.
    """
    for item, relation in listed_items(part, PART, ("parts", name)):
        shut = [
            spotted
            for spotted in item.atoms
            if spotted.atom.part == name
            and (
                relation.reaches or (spotted.atom.joint is None and len(_ways(part, spotted.atom.state)) == 1)
            )
        ]
        _note(scope, item, shut, f"`{quote(name)}` is {relation.phrase}")


def _check_crack(scope: Scope, part: PartEntry, joint: JointEntry, path: Path, label: str) -> None:
    """It is cracked before anything is done to the parts in ``while``: none of them can be in its way."""
    assert joint.crack is not None
    holding = set(texts_in(joint.crack.while_))
    for item in in_front(part, joint, path):
        shut = [spotted for spotted in item.atoms if spotted.atom.part in holding]
        if shut and len(shut) == len(item.atoms):
            held, line = quote(shut[0].atom.part), scope.place(item.path).line
            # A warning: only a job that undoes the joint is impossible, and it says so itself.
            scope.warning(
                (*path, "crack"),
                f"{label} can't be cracked while `{held}` holds it: it is behind `{held}` (line {line})",
                "take one of the two out, or write `trapped_by` for what only keeps the part on",
                key=True,
            )


def _check_task(
    scope: Scope,
    name: str,
    task: TaskEntry,
    parts: set[str],
    joints: set[tuple[str, str]],
    *,
    is_first: bool,
) -> None:
    """``parts`` and ``joints`` are those that need it; what it comes before waits for it too."""
    path: Path = ("tasks", name)
    asked = [relation for relation, raw in listed(task, TASK) if raw] if is_first else []
    for relation in asked:
        scope.error(
            (*path, relation.key),
            f"`{quote(name)}` comes before everything else, and can't be {relation.phrase} anything",
            f"take it out of first, or take its {relation.key} out",
            key=True,
        )
    if asked:
        return
    for part, joint in waiting_for(task, scope.entry.parts):
        if joint is None:
            parts.add(part)
        else:
            joints.add((part, joint))
    _never(scope, listed_items(task, TASK, path), parts, joints, f"`{quote(name)}` is")


def _waiting(scope: Scope, by: LinkKey) -> dict[str, tuple[set[str], set[tuple[str, str]]]]:
    """For each task or fluid the parts and joints that say by a link that they wait for it."""
    waiting: dict[str, tuple[set[str], set[tuple[str, str]]]] = {}
    for part_name, part in scope.entry.parts.items():
        for name in texts_in(by.of(part)):
            waiting.setdefault(name, (set(), set()))[0].add(part_name)
        for joint_name, joint in (part.joints or {}).items():
            for name in texts_in(by.of(joint)):
                waiting.setdefault(name, (set(), set()))[1].add((part_name, joint_name))
    return waiting
