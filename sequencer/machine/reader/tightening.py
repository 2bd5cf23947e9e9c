"""A joint's tightening: the keys under ``torque`` and the same keys beside it, as one."""

from __future__ import annotations

from typing import Any

from sequencer.machine.faults import quote
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.joint_entry import JointEntry, PlugEntry
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.quantities import Stage, TorqueQuantity
from sequencer.torque.fasteners.threads import sized
from sequencer.torque.guard.judgement import TorqueVerdict
from sequencer.torque.guard.judging import judge
from sequencer.torque.guard.use import FASTENER

PATTERNS = ("spiral", "cross", "line")
_FEWEST_WORDS = 2
"""Of a reason: `ok` is none."""

_KEYS = ("stages", "order", "pattern", "source", "override")


def tightening(joint: JointEntry) -> dict[str, tuple[Path, Any]]:
    """What is said of the tightening: for each key its value, and its path below the joint."""
    said: dict[str, tuple[Path, Any]] = {}
    for key in _KEYS:
        if joint.torque is not None and getattr(joint.torque, key) is not None:
            said[key] = (("torque", key), getattr(joint.torque, key))
        elif getattr(joint, key) is not None:
            said[key] = ((key,), getattr(joint, key))
    if joint.torque is not None and joint.torque.value is not None:
        said["value"] = (("torque", "value"), joint.torque.value)
    return said


def plug_as_joint(plug: PlugEntry) -> JointEntry:
    """A drain's plug as the joint that it is."""
    return JointEntry.model_construct(kind="plug", thread=plug.thread, torque=plug.torque, tool=plug.tool)


def check_tightening(scope: Scope, joint: JointEntry, path: Path) -> None:
    """Note what is wrong with the torque of the joint at ``path``."""
    said = tightening(joint)
    _check_twice(scope, said, joint, path)
    _check_prevailing(scope, stages_of(said), joint, path)
    if "stages" in said and scope.tree.at((*path, *said["stages"][0])) == []:
        scope.error(
            (*path, *said["stages"][0]), "there are no stages", "write stages: [20 N.m, 90 deg]", key=True
        )
    if "pattern" in said and said["pattern"][1] not in PATTERNS:
        where, pattern = said["pattern"]
        advice = scope.suggest(pattern, PATTERNS, f"the patterns are {', '.join(PATTERNS)}")
        scope.error((*path, *where), f"`{quote(pattern)}` is not a tightening pattern", advice)
    if "override" in said and len(said["override"][1].split()) < _FEWEST_WORDS:
        scope.error(
            (*path, *said["override"][0]), "an override needs its reason", "say why this torque is meant"
        )
    _check_order(scope, said, joint, path)
    if joint.at and len(joint.at[0]) == 2 and len(joint.at) != (joint.count or 1):
        scope.warning(
            (*path, "at"),
            f"there are {len(joint.at)} places, and the count is {joint.count or 1}",
            "make them agree: each fastener has a place of its own",
            key=True,
        )
    _judge(scope, said, joint, path)
    if said and not _says_how_tight(scope, path):
        whole = joint.torque is not None
        where = (*path, "torque") if whole else (*path, next(iter(said)))
        say = scope.error if whole else scope.warning
        remedy = "write torque: with a value and its unit, 47 N.m, or leave this out"
        say(where, "nothing says how tight", remedy, key=True)


def _check_twice(scope: Scope, said: dict[str, tuple[Path, Any]], joint: JointEntry, path: Path) -> None:
    """Note what is said in two ways, and what of a torque is said without one."""
    for key in _KEYS:
        if getattr(joint.torque, key, None) is not None and getattr(joint, key) is not None:
            problem = f"`{key}` is under `torque` and beside it"
            scope.error((*path, key), problem, "keep one of them", key=True)
    torque = joint.torque
    if torque is not None and torque.again and not stages_of(said):
        scope.error(
            (*path, "torque", "again"), "no torque is there to be due again", "write value: 60 N.m", key=True
        )
    if torque is not None and torque.by_hand and stages_of(said):
        problem = "it is tight by hand, and has a torque"
        scope.error((*path, "torque", "by_hand"), problem, "keep one of them", key=True)
    if "value" in said and "stages" in said:
        problem = "there is one torque, and stages as well"
        scope.error((*path, *said["stages"][0]), problem, "keep one of them", key=True)


def _check_prevailing(scope: Scope, stages: tuple[Stage, ...], joint: JointEntry, path: Path) -> None:
    """Note a prevailing torque that there is nothing to add to, or that is as high as what it is added to."""
    drag = joint.torque.prevailing if joint.torque is not None else None
    if drag is None:
        return
    where = (*path, "torque", "prevailing")
    torques = [stage for stage in stages if isinstance(stage, TorqueQuantity)]
    if stages and not torques:
        problem = "it can't be added to an angle: a nut that drags turns as far as any other"
        scope.error(where, problem, "write the snug torque that it goes on top of, or take it out", key=True)
    elif not torques:
        scope.error(where, "no torque is there to add it to", "write value: 25 N.m beside it", key=True)
    elif drag.newton_metres >= (least := min(torques, key=lambda one: one.newton_metres)).newton_metres:
        scope.warning(
            where,
            f"the nut drags with {drag.text}, and clamps with no more than that: {least.text}",
            "check both figures; leave it out where the maker's torque includes it",
            key=True,
        )


def stages_of(said: dict[str, tuple[Path, Any]]) -> tuple[Stage, ...]:
    """The torques and angles in order; none where nothing says how tight."""
    if "value" in said:
        return (said["value"][1],)
    return tuple(said["stages"][1]) if "stages" in said else ()


def _says_how_tight(scope: Scope, path: Path) -> bool:
    """Whether a torque or stages are written there, be they faulty."""
    written = scope.tree.at((*path, "torque"))
    if isinstance(written, dict):
        return bool({"value", "stages", "by_hand"} & written.keys()) or "stages" in scope.tree.at(path)
    return written is not None or "stages" in scope.tree.at(path)


def _judge(scope: Scope, said: dict[str, tuple[Path, Any]], joint: JointEntry, path: Path) -> None:
    """Hold the torque against its fastener, and keep what comes of it for the machine."""
    kind = kind_of_joint(joint.kind)
    judgement = judge(
        stages_of(said),
        sized(joint.thread),
        joint.class_,
        friction=joint.friction,
        engaged_in=joint.engaged_in,
        engagement=joint.engagement,
        override=said["override"][1] if "override" in said else None,
        use=kind.use if kind else FASTENER,
    )
    scope.judged[path] = judgement
    name = f"`{path[1]}/{path[3]}`"
    where = next((said[key][0][:1] for key in ("value", "stages") if key in said), None)
    if where is None:
        return
    for problem, remedy in (*judgement.faults, *judgement.odd):
        scope.warning((*path, *where), f"{name}: {problem}", remedy, key=True)
    if judgement.verdict not in (TorqueVerdict.USUAL, TorqueVerdict.NOT_JUDGED):
        note = scope.error if judgement.is_error else scope.warning
        note((*path, *where), f"{name}: {judgement.message}", judgement.remedy, key=True)


def _check_order(scope: Scope, said: dict[str, tuple[Path, Any]], joint: JointEntry, path: Path) -> None:
    if "order" not in said:
        return
    where, raw = said["order"]
    labels = {label for _, label in scope.texts(raw, (*path, *where), twice=True)}
    count = joint.count or 1
    if labels and len(labels) != count and len(labels) == len({str(one) for one in raw}):
        scope.warning(
            (*path, *where),
            f"the order names {len(labels)}, and the count is {count}",
            "make them agree: each fastener has a label of its own",
        )
    if "pattern" in said:
        scope.warning(
            (*path, *said["pattern"][0]), "there is an order, and a pattern as well", "the order holds"
        )
