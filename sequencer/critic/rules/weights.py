"""Weights: a large part without one, more than its fasteners suggest, more than one person lifts."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.critic.taken_for import says
from sequencer.machine.model import Joint, Part
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.hazards.hazards import is_awkward
from sequencer.plan.looks.looks_kinds import kind_name
from sequencer.plan.practice.ruled_job import holds

SOLID_MM = 8
"""From this thread up fasteners hold something heavy (common practice)."""

TWO_PEOPLE_KG = 20
"""From this weight up two people lift (common practice; the cautions have the same)."""

AWKWARD_KG = 15
"""The same kneeling, overhead, at arm's length (common practice; the cautions have the same)."""

HOIST_KG = 50
"""From this weight up nobody lifts by hand (common practice; the cautions have the same)."""

KG_PER_SQUARE_MM = 0.5
"""What one fastener suggests at the most, by the square of its thread: 18 kg for an M6, 32 kg for an M8.

Common practice: makers fasten with far more than the weight asks for.
"""

SMALL_KG = {"clip": 2.0, "hook": 20.0, "latch": 10.0, "tie": 1.0, "rivet": 5.0, "screw": 12.0, "strap": 15.0}
"""The same for what has no thread in the file."""

LIGHT_KG = 3
"""Below it nothing is said."""


def weight_missing(case: Case) -> Iterator[Finding]:
    """A part that is large by its name and its fasteners, and has no weight."""
    for part in case.parts:
        if part.weight_kg is None and part.mount is None and case.is_a("large", part) and _solid(case, part):
            yield finding(Code.WEIGHT_MISSING, Severity.COSTS, part)


def held_by_little(case: Case) -> Iterator[Finding]:
    """A part that weighs more than what holds it suggests; a fastener is missing, or the weight is wrong."""
    for part in case.parts:
        kg = part.weight_kg or 0
        if kg < LIGHT_KG or part.hold is False or part.mount is not None or not part.joints:
            continue
        if any(case.carriers(part.name)):
            continue
        most = sum(_bears_kg(joint) for joint in part.joints.values())
        if kg > most:
            yield finding(Code.HELD_BY_LITTLE, Severity.COSTS, part, kg=kg)


def no_support(case: Case) -> Iterator[Finding]:
    """A load that comes down on whoever lies below it, or that nobody can lift."""
    for part in case.parts:
        if part.weight_kg is not None and _wants_support(case, part) and not _supported(case, part):
            yield finding(Code.NO_SUPPORT, Severity.HURTS, part, kg=part.weight_kg)


def one_person(case: Case) -> Iterator[Finding]:
    """A lift for two of which the file says nothing."""
    for part in case.parts:
        kg = part.weight_kg or 0
        most = AWKWARD_KG if is_awkward(case.machine.positions[part.position]) else TWO_PEOPLE_KG
        if kg >= most and part.people == 1 and not _wants_support(case, part) and not _supported(case, part):
            yield finding(Code.ONE_PERSON, Severity.COSTS, part, kg=kg)


def _solid(case: Case, part: Part) -> bool:
    """Whether the fasteners are those of something heavy; a small flywheel sits on one nut."""
    solid = [one for one in case.held_by(part, Holds.BEARING) if (_thread_mm(one) or 0) >= SOLID_MM]
    return sum(one.count for one in solid) > (1 if case.is_a("turning", part) else 0)


def _wants_support(case: Case, part: Part) -> bool:
    kg = part.weight_kg or 0
    below = any(
        case.machine.positions[joint.position].below
        or case.is_a("below", case.machine.positions[joint.position])
        for joint in case.held_by(part, Holds.BEARING)
    )
    return kg >= HOIST_KG or (kg >= TWO_PEOPLE_KG and below)


def _supported(case: Case, part: Part) -> bool:
    """Whether anything in the file takes the weight: a task, or a word of help about it."""
    if part.people > 1 and (part.weight_kg or 0) < HOIST_KG:
        return True
    if part.hold is False or any(case.carriers(part.name)):
        return True
    if part.mount is not None or case.is_a("road-wheel", part):
        return True
    helpers = case.tasks_for(part)
    if any(case.is_a("support", task) or task.people > 1 for task in helpers):
        return True
    said = (*part.cautions.all, *part.notes.all)
    return says(
        "helped", (*said, *(text for task in helpers for text in (task.label or "", *task.cautions.all)))
    )


def _bears_kg(joint: Joint) -> float:
    """What a joint suggests that its part weighs at the most."""
    if holds(joint) is Holds.SLIGHT and kind_name(joint) not in SMALL_KG:
        return 0.0
    mm = _thread_mm(joint)
    if mm is not None:
        return joint.count * mm * mm * KG_PER_SQUARE_MM
    return joint.count * SMALL_KG.get(kind_name(joint), inf)


def _thread_mm(joint: Joint) -> float | None:
    """The diameter of a joint's thread, from its thread or its head; None where neither tells."""
    if joint.thread is not None:
        return joint.thread_mm
    try:
        across = float(joint.head or "")
    except ValueError:
        return None
    return across * 0.62  # 10 for M6, 13 for M8, 17 for M10 (ISO 4014)
