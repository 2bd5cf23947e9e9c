"""Where a sitting ends, in words: whether the machine may be left so, and what to see to before you go."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sequencer.document.hours import chance_words, hours_words, roughly
from sequencer.document.words import duration, joint_words, listing, name_of, part_words, plural
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Refit
from sequencer.plan.sittings import Sitting
from sequencer.plan.stops import Left, Loose, Verdict

if TYPE_CHECKING:
    from sequencer.job.status import Leaving

VERDICTS = {
    Verdict.SAFE: "Safe to leave here.",
    Verdict.LOOK: "Nothing is known against leaving it here; look first at what stands below.",
    Verdict.UNSAFE: "Not a safe place to leave the machine.",
}
"""Whether a machine may be left, as every page says it."""

_WORDS = {
    Left.HALF_OUT: ("half out", "support it, or take it right off before you go"),
    Left.HALF_OUT_LIGHT: ("half out", "put a fastener back by hand"),
    Left.FLUID_HALF_OPEN: ("system half open", "plug the open ends and leave a pan underneath"),
    Left.HELD_UP: (
        "still holding a load",
        "keep everybody away from under it, and look at it before you go on",
    ),
    Left.STOOD_ON: (
        "on stands that nobody has called rated",
        "see that they are made to be left under the load, level and locked",
    ),
    Left.LAID_ASIDE: ("moved aside, and nothing says how it is held", "see that it is tied or lies well"),
    Left.PARTLY_OUT: ("some of its fasteners out", "see that the others carry it"),
    Left.UNHELD: ("no joint holds it", "see that it lies or hangs well by itself"),
    Left.SEALANT_WET: ("sealant still wet", "run it down first"),
    Left.FILLED_UNCHECKED: ("filled and not yet looked at for leaks", "look first"),
    Left.EASED: ("loose in its place", "hang a tag on it"),
    Left.FLUID_OPEN: ("system open", "cap or cover the openings"),
    Left.DRAINED: ("drained", "hang a tag on the key: do not start"),
    Left.SNUG: ("only snug", "hang a tag on it: not torqued"),
}
"""For each thing that may be left: what it is called, and what to do about it. Common practice."""


def stop_words(plan: Plan, sitting: Sitting) -> list[str]:
    """The lines of a stop: a verdict, then what is left, those things first that are not safe.

    The end of a way back, where the machine is whole, needs none.
    """
    if plan.back and sitting.steps[-1] is plan.steps[-1]:
        return []
    stop = sitting.stop
    lines = [
        VERDICTS[stop.verdict] + (" There is none better near." if stop.verdict is Verdict.UNSAFE else "")
    ]
    if sitting.over:
        lines[0] += f" The sitting runs {duration(sitting.over)} over for it."
    return [*lines, *left_words(plan.machine, stop.loose)]


def leaving_words(told: Leaving) -> str:
    """Whether a job may be left as it stands, and, where it may not, after which step better."""
    verdict = VERDICTS[told.verdict]
    if told.better is None:
        return verdict
    when = f"step {told.better}, {duration(told.seconds)} from here"
    if told.then is Verdict.UNSAFE:
        return f"{verdict} None ahead is; least is left open after {when}."
    look = " (look first there too)" if told.then is Verdict.LOOK else ""
    return f"{verdict} Better after {when}{look}."


def left_words(machine: Machine, what_is_loose: Iterable[Loose]) -> list[str]:
    """What is left and what to do about it: first what is not safe, then what has to be looked at."""
    lines: list[str] = []
    groups: dict[Left, list[Loose]] = {}
    for loose in sorted(what_is_loose, key=lambda one: (not one.unsafe, not one.look)):
        groups.setdefault(loose.left, []).append(loose)
    for left, group in groups.items():
        what, advice = _WORDS[left]
        lines.append(f"{listing(_named(machine, one) for one in group)}: {what}; {advice}.")
    return lines


def _named(machine: Machine, loose: Loose) -> str:
    name, _, joint = loose.subject.partition("/")
    if joint:
        return joint_words(machine, name, joint)
    if loose.left in (Left.HELD_UP, Left.STOOD_ON):
        return name_of(name, machine.tasks[name].label)
    if loose.left in (Left.FLUID_HALF_OPEN, Left.FLUID_OPEN, Left.DRAINED, Left.FILLED_UNCHECKED):
        return name_of(name, machine.fluids[name].label)
    return part_words(machine, name)


def sitting_title(plan: Plan, sitting: Sitting, number: int) -> str:
    """``Sitting 2, the way in: steps 12 to 60, 48 steps, about 1 h 30 min (…), in time 8 times in 10``."""
    way = "the way back" if isinstance(plan, Refit) else "the way in"
    return (
        f"Sitting {number}, {way}: {step_range(sitting)}, {plural(len(sitting.steps), 'step')}, "
        f"{sitting_time(sitting)}"
    )


def sitting_time(sitting: Sitting) -> str:
    """How long a sitting takes, and how sure it is to end within the wished length."""
    return f"{hours_words(sitting.hours)}{_in_time(sitting)}"


def sitting_time_short(sitting: Sitting) -> str:
    """The same for a narrow column: without the range."""
    return f"about {roughly(sitting.hours.likely)}{_in_time(sitting)}"


def _in_time(sitting: Sitting) -> str:
    return "" if sitting.chance is None else f", in time {chance_words(sitting.chance)}"


def step_range(sitting: Sitting) -> str:
    """``steps 12 to 60``, or ``step 12``."""
    if sitting.first == sitting.last:
        return f"step {sitting.first}"
    return f"steps {sitting.first} to {sitting.last}"
