"""Where a sitting ends, in words: whether the machine may be left so, and what to see to before you go."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sequencer.document.blocks import Block, Item, Items, Para, Tone, Words
from sequencer.document.hours import chance_words, hours_words, roughly
from sequencer.document.steps.outfit import to_buy
from sequencer.document.words import duration, laid_out, plural
from sequencer.graph.said import path_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine
from sequencer.plan.evenings.sittings import EndReason, Evenings, Sitting
from sequencer.plan.hazards.stops import HALF_OPEN, Left, Loose, Verdict
from sequencer.plan.plan import Plan, Refit
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.job.reports.status import Leaving

VERDICTS = {
    Verdict.SAFE: "Safe to leave here.",
    Verdict.LOOK: "No reason is known not to leave it here; look first at what is listed below.",
    Verdict.UNSAFE: "Not a safe place to leave the machine.",
}
"""Whether a machine may be left, as every page says it."""

VERDICTS_THEN = {
    Verdict.LOOK: "No reason is known not to leave it then; look first at what is loose",
    Verdict.UNSAFE: "Not a safe place to leave the machine",
}
"""The same of a place further on, where it is not plainly safe; without a stop."""

_WORDS = {
    Left.HALF_OUT: ("half out", "support it, or take it right off before you go"),
    Left.HALF_OUT_LIGHT: ("half out", "put a fastener back by hand"),
    Left.FLUID_HALF_OPEN: ("system half open", "plug the open ends and leave a pan underneath"),
    Left.FUEL_HALF_OPEN: (
        "system half open: it gives off vapour",
        "close it, or plug every end, air the place, and keep sparks and flames away",
    ),
    Left.HELD_UP: (
        "still holding a load",
        "keep everybody away from under it, and look at it before you go on",
    ),
    Left.STOOD_ON: (
        "on stands that nobody has said are rated",
        "see that they are made to be left under the load, level and locked",
    ),
    Left.LIVE: (
        "undone with parts still off, so that it can move or is live",
        "do it again before you go",
    ),
    Left.LAID_ASIDE: ("moved aside, and nothing says how it is held", "see that it is tied or lies safely"),
    Left.PARTLY_OUT: ("some of its fasteners out", "see that the others carry it"),
    Left.UNHELD: ("no joint holds it", "see that it lies or hangs safely by itself"),
    Left.SEALANT_WET: ("sealant still wet", "run it down, and to its torque, first"),
    Left.FILLED_UNCHECKED: ("filled and not yet checked for leaks", "look first"),
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
    return [VERDICTS[stop.verdict], *left_words(plan.machine, stop.loose)]


_HARDLY = 0.05


def why_words(sitting: Sitting) -> str:
    """Why a sitting ends where it does."""
    if sitting.why is EndReason.DONE:
        return "It ends with the last step."
    if sitting.why is EndReason.LONG:
        more = roughly(float(sitting.over))
        return f"No place to stop comes sooner: to be as sure of getting there you need {more} more."
    if sitting.why is EndReason.CURE:
        return "What comes next waits until the sealant has cured: leave it overnight."
    assert sitting.next is not None
    assert sitting.next_chance is not None
    beyond = f"step {sitting.next}, where it may be left next"
    if sitting.why is EndReason.SPREAD:
        return f"You can go on to {beyond}; that saves no sitting."
    how = f"get there in time only {chance_words(sitting.next_chance)}"
    if sitting.next_chance < _HARDLY:
        how = "hardly ever get there in time"
    elif round(10 * sitting.next_chance) == round(10 * sitting.chance):
        how = "be less sure than you wish of getting there in time"
    return f"On to {beyond}: you would {how}."


def evenings_document(told: Evenings[Any]) -> Iterator[Block]:
    """What the sittings are, how good, what they cost, and each of them."""
    plan = told.plan
    if not told.sittings:
        return
    for number, line in enumerate(in_all_words(told)):
        yield Para(line, apart=not number)
    for sitting in told.sittings:
        yield Items((_sitting_item(plan, sitting),))


def in_all_words(told: Evenings[Any]) -> tuple[str, str]:
    """How many sittings there are and how good; what they cost."""
    return f"{_many(told)}. {' '.join(proof_words(told))}", cost_words(told)


def _many(told: Evenings[Any]) -> str:
    """``4 sittings of at most 1 h 30 min, 8 times in 10 in time, setting out and clearing up included``."""
    count = len(told.sittings)
    lengths = list(dict.fromkeys(duration(told.wish.length(number)) for number in range(1, count + 1)))
    if len(lengths) > 1:
        lengths = [duration(length) for length in told.wish.lengths]
    each = " each" if len(lengths) > 1 else ""
    many = f"{plural(count, 'sitting')} of at most {', then '.join(lengths)}{each}"
    return f"{many}, {chance_words(told.wish.chance)} in time, setting out and clearing up included"


def proof_words(told: Evenings[Any]) -> list[str]:
    """How good the sittings are proven to be; first, where it can't be left in time, what would do."""
    lines = []
    if told.shortest is not None:
        longest = max(told.sittings, key=lambda one: one.over)
        lines.append(
            f"A sitting has to run over: in {step_range(longest)} there is no place to stop in time."
        )
        enough = duration(60 * math.ceil(told.shortest / 60))
        if told.never_under == told.shortest:
            lines.append(f"The shortest sitting that would do is {enough}.")
        else:
            never = duration(60 * (told.never_under // 60))
            lines.append(f"The shortest sitting found that would do is {enough}; none under {never} can.")
    if told.proven and told.shortest is not None:
        lines.append("Proven: no order makes them run over by less.")
    elif told.proven:
        lines.append("Proven: no order needs fewer sittings, and none that needs as few takes less time.")
    elif told.shortest is None and told.fewest:
        lines.append("Proven: no order needs fewer sittings. Whether one takes less time is not known.")
    elif told.shortest is None:
        lines.append(f"Best found, not proven: at least {plural(told.at_least, 'sitting')} are needed.")
    last = told.sittings[-1]
    if not told.plan.back and last.stop.verdict is Verdict.UNSAFE:
        lines.append(f"After step {last.last}, where the way in ends, the machine must not be left as it is.")
    return lines


def cost_words(told: Evenings[Any]) -> str:
    """What the sittings cost against one long day."""
    more = told.seconds - told.day
    around = (len(told.sittings) - 1) * (told.plan.machine.pace.set_up + told.plan.machine.pace.clear_up)
    in_all = f"All sittings {hours_words(told.hours)}; by the file's times {duration(told.seconds)}"
    if not more:
        return f"{in_all}, as long as in one go."
    rest = more - around
    order = f"{duration(abs(rest))}{' less' if rest < 0 else ''} for the other order and getting back to it"
    words = f"{in_all}, {duration(more)} more than in one go"
    return f"{words}: {duration(around)} to set out and clear up, {order}."


def _sitting_item(plan: Plan, sitting: Sitting) -> Item:
    below: list[Words] = [why_words(sitting), *stop_words(plan, sitting)]
    below += [f"{name}: {words}." for name, words in needed(plan, sitting)]
    head = f"Sitting {sitting.number}, {step_range(sitting)}: {sitting_time(sitting)}"
    return Item(head, tone=Tone.STRONG, below=tuple(below))


def needed(plan: Plan, sitting: Sitting) -> Iterator[tuple[str, str]]:
    """What a sitting needs: tools to lay out, what must be bought before it."""
    part = replace(plan, steps=sitting.steps)
    yield "Lay out", listing(laid_out(plan.machine, (op.tool for op in part.operations))) or "no tools"
    if new := to_buy(part):
        yield "Have bought", new


def leaving_words(told: Leaving) -> str:
    """Whether a job may be left as it stands, and, where it may not, after which step better."""
    verdict = VERDICTS[told.verdict]
    if told.better is None:
        return verdict
    when = f"step {told.better}, about {roughly(told.likely)} from here"
    if told.then is Verdict.UNSAFE:
        return f"{verdict} No later one is safe; least is left open after {when}."
    look = " (look there first too)" if told.then is Verdict.LOOK else ""
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
    name = loose.subject
    if loose.left in (Left.HELD_UP, Left.STOOD_ON, Left.LIVE):
        return name_of(name, machine.tasks[name].label)
    if loose.left in HALF_OPEN | {Left.FLUID_OPEN, Left.DRAINED, Left.FILLED_UNCHECKED}:
        return name_of(name, machine.fluids[name].label)
    return path_words(machine, name)


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
    return f", in time {chance_words(sitting.chance)}"


def step_range(sitting: Sitting) -> str:
    """``steps 12 to 60``, or ``step 12``."""
    if sitting.first == sitting.last:
        return f"step {sitting.first}"
    return f"steps {sitting.first} to {sitting.last}"
