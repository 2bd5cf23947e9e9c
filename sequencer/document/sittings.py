"""Where a sitting ends, in words: whether the machine may be left so, and what to see to before you go."""

from __future__ import annotations

from collections.abc import Iterable

from sequencer.document.words import duration, joint_words, listing, name_of, part_words, plural
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Refit
from sequencer.plan.sessions import Sitting
from sequencer.plan.stops import Left, Loose

_WORDS = {
    Left.HALF_OUT: ("half out", "support it, or take it right off before you go"),
    Left.HALF_OUT_LIGHT: ("half out", "put a fastener back by hand"),
    Left.FLUID_HALF_OPEN: ("system half open", "plug the open ends and leave a pan underneath"),
    Left.HELD_UP: (
        "still holding a load",
        "keep everybody away from under it, and look at it before you go on",
    ),
    Left.SEALANT_WET: ("sealant still wet", "run it down first"),
    Left.FILLED_UNCHECKED: ("filled and not yet looked at for leaks", "look first"),
    Left.EASED: ("loose in its place", "hang a tag on it"),
    Left.FLUID_OPEN: ("system open", "cap or cover the openings"),
    Left.DRAINED: ("drained", "hang a tag on the key: do not start"),
    Left.SNUG: ("only snug", "hang a tag on it: not torqued"),
}
"""For each thing that may be left: what it is called, and what to do about it. Common practice."""


def stop_words(machine: Machine, sitting: Sitting) -> list[str]:
    """The lines of a stop: a verdict, then what is left, those things first that are not safe."""
    stop = sitting.stop
    verdict = (
        "Safe to leave here."
        if stop.safe
        else "Not a safe place to leave a machine; there is none better near."
    )
    lines = [verdict]
    if sitting.over:
        lines[0] += f" The sitting runs {duration(sitting.over)} over for it."
    return [*lines, *left_words(machine, stop.loose)]


def left_words(machine: Machine, what_is_loose: Iterable[Loose]) -> list[str]:
    """What is left in a state of its own and what to do about it, those things first that are not safe."""
    lines: list[str] = []
    groups: dict[Left, list[Loose]] = {}
    for loose in sorted(what_is_loose, key=lambda one: not one.unsafe):
        groups.setdefault(loose.left, []).append(loose)
    for left, group in groups.items():
        what, advice = _WORDS[left]
        lines.append(f"{listing(_named(machine, one) for one in group)}: {what}; {advice}.")
    return lines


def _named(machine: Machine, loose: Loose) -> str:
    name, _, joint = loose.subject.partition("/")
    if joint:
        return joint_words(machine, name, joint)
    if loose.left is Left.HELD_UP:
        return name_of(name, machine.tasks[name].label)
    if loose.left in (Left.FLUID_HALF_OPEN, Left.FLUID_OPEN, Left.DRAINED, Left.FILLED_UNCHECKED):
        return name_of(name, machine.fluids[name].label)
    return part_words(machine, name)


def sitting_title(plan: Plan, sitting: Sitting, number: int) -> str:
    """``Sitting 2, the way in: steps 12 to 60, 48 steps, 1 h 20 min``."""
    way = "the way back" if isinstance(plan, Refit) else "the way in"
    return (
        f"Sitting {number}, {way}: {step_range(sitting)}, {plural(len(sitting.steps), 'step')}, "
        f"{duration(sitting.seconds)}"
    )


def step_range(sitting: Sitting) -> str:
    """``steps 12 to 60``, or ``step 12``."""
    if sitting.first == sitting.last:
        return f"step {sitting.first}"
    return f"steps {sitting.first} to {sitting.last}"
