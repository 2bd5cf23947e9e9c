"""Times out of all proportion: a unit forgotten, a nought too many."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Named, Severity, finding
from sequencer.critic.taken_for import says
from sequencer.machine.model import Joint, Part
from sequencer.machine.trade.kinds import Holds, kind_of_joint
from sequencer.plan.looks.looks_kinds import kind_name
from sequencer.plan.practice.ruled_job import holds

SHORTEST, LONGEST = Fraction(2), Fraction(40)
"""Seconds that undoing anything takes, and how often the usual time of its kind (our own judgement)."""

LITRE = Fraction(8)
"""Draining a litre takes no less seconds (our own judgement: a wide bore and hot oil)."""

LONG_TASK, LONG_MOVE = Fraction(6 * 3600), Fraction(20 * 60)
"""No task takes longer, and no way to a place (our own judgement)."""

HEAVY_KG, HEAVY_SECONDS = 25, Fraction(20)
"""So heavy a part takes no less time to lift off, nor a jack to raise anything (our own judgement)."""

SEIZED_SECONDS = Fraction(15 * 60)
"""What a seized fit takes at the least (common practice)."""


def odd_time(case: Case) -> Iterator[Finding]:
    """A time that can't be meant."""
    for thing, seconds in _odd(case):
        yield finding(Code.TIME, Severity.AWKWARD, thing, seconds=float(seconds))


def seized(case: Case) -> Iterator[Finding]:
    """A fit that the file calls rusted, in the time of a clean one, with nothing to break it loose."""
    for part in case.parts:
        if not (says("seized", [case.machine.about]) or case.tells("seized", part)):
            continue
        for joint in part.joints.values():
            tight = kind_name(joint) == "fit" or (
                case.is_a("exhaust", part) and holds(joint) is Holds.BEARING
            )
            if tight and joint.seconds < SEIZED_SECONDS and not _freed(case, part, joint):
                yield finding(
                    Code.SEIZED,
                    Severity.AWKWARD,
                    part,
                    at=joint.place,
                    joint=joint.path,
                    seconds=float(joint.seconds),
                )
                break


def _freed(case: Case, part: Part, joint: Joint) -> bool:
    """Whether a tool, a task or a word of the author breaks it loose."""
    tasks = (case.is_a("frees", task) for task in case.tasks)
    return case.tool_is_a("frees", joint.tool) or any(tasks) or case.tells("frees-said", part)


def _odd(case: Case) -> Iterator[tuple[Named, Fraction]]:
    """What is odd, and its seconds."""
    for part in case.parts:
        yield from _odd_joints(part)
        hurried = part.seconds_from == "file" and (part.weight_kg or 0) >= HEAVY_KG
        if (hurried and part.seconds < HEAVY_SECONDS) or part.seconds > LONG_TASK:
            yield part, part.seconds
    for task in case.tasks:
        lifts = case.is_a("raises", task) or bool(task.load)
        if (lifts and task.seconds < HEAVY_SECONDS) or task.seconds > LONG_TASK:
            yield task, task.seconds
    for fluid in case.machine.fluids.values():
        least = Fraction(fluid.volume_litres or 0) * LITRE
        if not least <= fluid.drain.seconds <= LONG_TASK:
            yield fluid, fluid.drain.seconds
    for position in case.machine.positions.values():
        longest = max(position.enter, position.leave)
        if longest > LONG_MOVE:
            yield position, longest


def _odd_joints(part: Part) -> Iterator[tuple[Named, Fraction]]:
    """Joints whose time no fastener of their kind takes."""
    for joint in part.joints.values():
        kind = kind_of_joint(joint.kind)
        if kind is not None and joint.seconds_from == "file":
            each = joint.seconds / joint.count
            if each < SHORTEST or each > kind.seconds * LONGEST:
                yield joint, joint.seconds
