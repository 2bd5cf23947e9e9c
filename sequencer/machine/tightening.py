"""A joint's tightening: the keys under ``torque`` and the same keys beside it, as one."""

from __future__ import annotations

from typing import Any

from sequencer.machine.faults import quote
from sequencer.machine.schema import JointEntry
from sequencer.machine.scope import Scope, TighteningWords
from sequencer.machine.yaml_tree import Path
from sequencer.quantities import QuantityError, parse_stage

PATTERNS = ("spiral", "cross", "line")
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


def check_tightening(scope: Scope, joint: JointEntry, path: Path) -> None:
    """Note what is wrong with the torque of the joint at ``path``."""
    said = tightening(joint)
    for key in _KEYS:
        if (
            joint.torque is not None
            and getattr(joint.torque, key) is not None
            and getattr(joint, key) is not None
        ):
            scope.error(
                (*path, key), f"`{key}` is under `torque` and beside it", "keep one of them", key=True
            )
    if "value" in said and "stages" in said:
        scope.error(
            (*path, *said["stages"][0]),
            "there is one torque, and stages as well",
            "keep one of them",
            key=True,
        )
    _check_stages(scope, said, path)
    if "pattern" in said and said["pattern"][1] not in PATTERNS:
        where, pattern = said["pattern"]
        advice = scope.suggest(pattern, PATTERNS, f"the patterns are {', '.join(PATTERNS)}")
        scope.error((*path, *where), f"`{quote(pattern)}` is no pattern of tightening", advice)
    if "override" in said and not said["override"][1].strip():
        scope.error(
            (*path, *said["override"][0]), "an override needs its reason", "say why this torque is meant"
        )
    _check_order(scope, said, joint, path)
    if joint.at and len(joint.at[0]) == 2 and len(joint.at) != (joint.count or 1):
        scope.warning(
            (*path, "at"),
            f"there are {len(joint.at)} places, and the count is {joint.count or 1}",
            "let them agree: each fastener has a place of its own",
            key=True,
        )
    _examine(scope, said, joint, path)
    if said and "value" not in said and "stages" not in said:
        where = (*path, "torque") if joint.torque is not None else (*path, next(iter(said)))
        problem, remedy = (
            "nothing says how tight",
            "write torque: with a value and its unit, 47 N.m, or leave this out",
        )
        if joint.torque is not None:
            scope.error(where, problem, remedy, key=True)
        else:
            scope.warning(where, problem, remedy, key=True)


def _examine(scope: Scope, said: dict[str, tuple[Path, Any]], joint: JointEntry, path: Path) -> None:
    """Have whoever knows fasteners look at a torque, once the words of it can be read."""
    if scope.examine is None or not ("value" in said or "stages" in said):
        return
    where, raw = said["value"] if "value" in said else said["stages"]
    stages = [raw] if "value" in said else list(raw)
    try:
        for stage in stages:
            parse_stage(stage)
    except (QuantityError, TypeError, AttributeError):
        return  # said already
    words = TighteningWords(
        f"{path[1]}/{path[3]}",
        tuple(stages),
        joint.thread,
        joint.class_,
        joint.friction,
        joint.engaged_in,
        joint.engagement,
        said["override"][1] if "override" in said else None,
    )
    for problem, remedy, severe in scope.examine(words):
        note = scope.error if severe else scope.warning
        note((*path, *where[:1]), problem, remedy, key=True)


def _check_stages(scope: Scope, said: dict[str, tuple[Path, Any]], path: Path) -> None:
    stages = [((*path, *said["value"][0]), said["value"][1])] if "value" in said else []
    if "stages" in said:
        where, raw = said["stages"]
        if not raw:
            scope.error((*path, *where), "there are no stages", "write stages: [20 N.m, 90 deg]", key=True)
        stages += scope.texts(raw, (*path, *where), twice=True)
    for where, text in stages:
        try:
            parse_stage(text)
        except QuantityError as why:
            scope.error(where, why.problem, why.remedy)


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
            "let them agree: each fastener has a label of its own",
        )
    if "pattern" in said:
        scope.warning(
            (*path, *said["pattern"][0]), "there is an order, and a pattern as well", "the order holds"
        )
