"""What a person can get wrong in the keys of good practice: what serves, what clamps one face."""

from __future__ import annotations

from sequencer.machine.faults import quote
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import TaskEntry
from sequencer.machine.schema.joint_entry import JointEntry
from sequencer.machine.trade.links import JOINTS, PARTS, link
from sequencer.machine.trade.relations import TASK


def check_serves(scope: Scope, task: TaskEntry, path: Path) -> None:
    """A task serves joints that are there."""
    for item in scope.items(link(TASK, JOINTS).of(task), (*path, "serves")):
        if any(spotted.atom.joint is None for spotted in item.atoms) or len(item.atoms) > 1:
            scope.error(item.path, "a task serves joints", "write their names alone: [pulley/bolts]")
        else:
            for spotted in item.atoms:
                scope.knows_atom(spotted)


def check_carries(scope: Scope, task: TaskEntry, path: Path) -> None:
    """A task carries parts that are there, and is taken away again."""
    carried = link(TASK, PARTS).of(task)
    for where, part in scope.texts(carried, (*path, "carries")):
        scope.knows("parts", part, where)
    if carried and task.undo is None and "undo" not in scope.tree.at(path):
        scope.warning(
            (*path, "carries"), "nothing takes it away again", "write undo: and what is done then", key=True
        )
    if task.rated and not carried and task.undo is None and "undo" not in scope.tree.at(path):
        scope.warning((*path, "rated"), "it carries nothing", "say what: carries: [engine]", key=True)


def check_faces(scope: Scope) -> None:
    """A face that one joint alone names is probably misspelt."""
    named: dict[str, list[Path]] = {}
    for part_name, part in scope.entry.parts.items():
        for joint_name, joint in (part.joints or {}).items():
            if joint.face is not None:
                path = ("parts", part_name, "joints", joint_name, "face")
                named.setdefault(" ".join(joint.face.split()), []).append(path)
    for face, paths in named.items():
        if len(paths) == 1:
            advice = scope.suggest(
                face, [n for n in named if n != face], "give the others of it the same `face`"
            )
            scope.warning(paths[0], f"no other joint is on the face `{quote(face)}`", advice)


def check_settle(scope: Scope, joint: JointEntry, path: Path) -> None:
    """What settles has a torque."""
    raw = scope.tree.at(path)
    if joint.settle and isinstance(raw, dict) and not {"torque", "stages"} & raw.keys():
        scope.warning(
            (*path, "settle"),
            "it has no torque that could come last",
            "give it one, or take `settle` out",
            key=True,
        )
