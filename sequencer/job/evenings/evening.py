"""What can be done in the time that somebody has: how far, with what chance, and where to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from typing import Any

from sequencer.errors import SequencerError
from sequencer.job.changes.bare import to_tell
from sequencer.job.learning.timed import known_of
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import stops_ahead
from sequencer.job.work.curing import Ahead, cures_ahead
from sequencer.machine.facts.learned import Learned
from sequencer.plan.evenings.wish import CHANCE, check_chance, seconds_in, seconds_until
from sequencer.plan.hazards.stops import Stop, Verdict
from sequencer.plan.hours.hours import draws, reaching
from sequencer.plan.hours.mishaps import Mishap, mishaps
from sequencer.plan.plan import Plan

WORTH_NAMING = 60.0
"""Seconds that a mishap has to cost on average before it is a risk to be told (common practice)."""

MOST_RISKS = 2


@dataclass(frozen=True)
class EveningWish:
    """Until when somebody works, and how sure they want to be of the place where they stop, from 0 to 1.

    ``floats``: it begins once the clock is started, so that ``until`` is only when it would be if begun now.
    """

    until: datetime
    chance: float
    floats: bool = False

    def seconds(self, now: datetime) -> float:
        """What is left until then; less than none once it is past."""
        return (self.until - now).total_seconds()


@dataclass(frozen=True)
class Halt:
    """A place where work may stop.

    Attributes:
        step: The number of the step after which it stops; None: before the next one.
        ahead: So many of the steps that are left come before it.
        seconds: Planned time until there; ``likely``: what that really takes, by what was taken so far.
        begins: When its last step likely begins, from now.
        wait: The sealant that has to cure before that step, or before one before it; None: none has to.
        chance: Of being there in the time, from 0 to 1.
        stop: In what state the machine is then.
    """

    step: int | None
    ahead: int
    seconds: float
    likely: float
    chance: float
    stop: Stop
    begins: float = 0.0
    wait: Ahead | None = None


@dataclass(frozen=True)
class Risk:
    """A joint that may cost the evening: ``halt`` is the last place to stop before it."""

    mishap: Mishap
    step: int
    halt: Halt | None


@dataclass(frozen=True)
class Evening:
    """So much time, and what to do with it.

    Attributes:
        seconds: What somebody has, setting out and clearing up included; ``working``: without.
        chance: That is wished of reaching the place where to stop.
        now: The machine as it is.
        best: Where to stop; None: not a step that ends at such a place fits.
        next: The next place beyond that; None: there is none, the rest is done by then.
        rest: What is left, all of it.
        halts: How it stands after each step that is left.
        wish: What was said of it; None: it was only asked.
    """

    seconds: float
    working: float
    chance: float
    now: Halt
    best: Halt | None
    next: Halt | None
    rest: Plan
    risks: tuple[Risk, ...]
    halts: tuple[Halt, ...] = ()
    wish: EveningWish | None = None

    @cached_property
    def until(self) -> Plan:
        """What is left up to the place where to stop; to the next one, where it can't be left as it is."""
        halt = self.best or (self.next if self.now.stop.verdict is Verdict.UNSAFE else None)
        return replace(self.rest, steps=self.rest.steps[: halt.ahead if halt else 0])

    @property
    def opens(self) -> int | None:
        """The step after the place to stop, where what it begins has to be gone through; else None."""
        halt = self.best or self.now
        if self.next is None or self.next.ahead == halt.ahead + 1:
            return None
        return self.rest.steps[halt.ahead].number


def seconds_of(time: str | None, until: str | None, sittings: Sequence[int], now: datetime) -> float:
    """The time that somebody has: said, until an hour of the clock, or the job's usual sitting (minutes).

    An hour of after midnight is tomorrow's; a number alone is minutes.

    Raises:
        SequencerError: Nothing says it, both do, or it can't be read.
    """
    if time is not None and until is not None:
        raise SequencerError(
            "both a length and an end time are given", "say one: 90min, or --until 18:30", code="which-time"
        )
    if time is not None:
        return float(seconds_in(time))
    if until is not None:
        return float(seconds_until(until, now))
    if sittings:
        return 60.0 * sittings[-1]
    raise SequencerError(
        "nothing says how long you have", "say it: tonight 90min, or tonight --until 18:30", code="which-time"
    )


def evening(
    moment: Moment,
    person: str,
    seconds: float,
    chance: float = CHANCE,
    wish: EveningWish | None = None,
    now: datetime | None = None,
) -> Evening:
    """How far somebody gets in so many seconds from ``now``, by what this job has taken so far.

    The best place to stop is the one with the most done before it, less what is left loose there, of those
    that may be left and are reached with the wished chance. Where the time is past, none is reached.

    Raises:
        SequencerError: There is nothing left to do, or nobody knows what.
    """
    plan = moment.plan
    if to_tell(moment):
        raise SequencerError(
            "no machine file says what is left to do, so there is no telling how far you will get",
            "status says whether the machine may be left as it is",
            code="nothing-known",
        )
    if not plan.steps:
        raise SequencerError("there is nothing left to do", "see status", code="nothing-left")
    check_chance(chance)
    here, later = stops_ahead(moment)
    halts = halts_of(moment, known_of(moment, person), seconds, later, now or datetime.now(UTC))
    places = [halt for halt in halts if _may_be_left(halt, halts)]
    within = [halt for halt in places if halt.chance >= chance]
    best = max(within, key=lambda halt: halt.seconds - _weight(halt, halts), default=None)
    done = best.ahead if best else 0
    beyond = next((halt for halt in places if halt.ahead > done), None)
    nowhere = Halt(None, 0, 0.0, 0.0, 1.0, here)
    risks = _risks(plan, [nowhere, *places], done or (beyond.ahead if beyond else 0))
    working = working_seconds(moment, seconds)
    return Evening(seconds, working, chance, nowhere, best, beyond, plan, risks, halts, wish)


def working_seconds(moment: Moment, seconds: float) -> float:
    """What is left of so much time for work: without setting out, unless the clock runs, and clearing up."""
    pace = moment.machine.pace
    return seconds - float(pace.clear_up) - (0 if moment.state.running is not None else float(pace.set_up))


def halts_of(
    moment: Moment, known: Learned, seconds: float, later: Sequence[Stop], now: datetime
) -> tuple[Halt, ...]:
    """How it stands after each step that is left, and how surely it is done within so many seconds.

    What waits for a sealant begins once that has cured. ``later`` is what ``stops_ahead`` says of the steps.
    """
    plan, spent, before = moment.plan, 0.0, 0.0
    waits = cures_ahead(moment, now)
    reached = _reached(moment, known, working_seconds(moment, seconds), waits)
    halts = []
    for ahead, (step, stop) in enumerate(zip(plan.steps, later, strict=True), start=1):
        spent += float(step.seconds + step.change_seconds)
        sure, likely, ready = reached[ahead - 1]
        wait = max((one for one in waits if one.before < ahead), key=lambda one: one.seconds, default=None)
        halts.append(Halt(step.number, ahead, spent, likely, sure, stop, max(before, ready), wait))
        before = likely
    return tuple(halts)


def _reached(
    moment: Moment, known: Learned, seconds: float, waits: Sequence[Ahead]
) -> list[tuple[float, float, float]]:
    """For each step how surely it is done in so many seconds, after how many, and from when it may begin."""
    plan = moment.plan
    if not waits:
        return [(*one, 0.0) for one in reaching(moment.machine, plan.steps, seconds, known, plan.earlier)]
    import numpy as np

    taken = draws(moment.machine, plan.steps, known, plan.earlier).steps
    end, ends = np.zeros(taken.shape[1]), list[np.ndarray[Any, np.dtype[np.float64]]]()
    found = list[tuple[float, float, float]]()
    for place, own in enumerate(taken):
        ready = np.zeros_like(end)
        for wait in waits:
            if wait.before == place:
                cures = 0.0 if wait.after is None else ends[wait.after]
                ready = np.maximum(ready, cures + wait.seconds)
        end = np.maximum(end, ready) + own
        ends.append(end)
        found.append((float((end <= seconds).mean()), float(np.median(end)), float(np.median(ready))))
    return found


def _weight(halt: Halt, halts: Sequence[Halt]) -> float:
    """What is left loose there, in seconds; once all is done, the plan leaves it so."""
    return 0.0 if halt is halts[-1] else float(halt.stop.weight)


def _may_be_left(halt: Halt, halts: Sequence[Halt]) -> bool:
    return halt.stop.verdict is not Verdict.UNSAFE or halt is halts[-1]


def _risks(plan: Plan, places: Sequence[Halt], ahead: int) -> tuple[Risk, ...]:
    """What may cost most of the evening, each with the last place to stop before it."""
    number = {step.operation.name: at for at, step in enumerate(plan.steps)}
    found = mishaps(plan.machine, (step.operation for step in plan.steps[:ahead]), plan.earlier)
    ranked = sorted((one for one in found if one.expected >= WORTH_NAMING), key=lambda one: -one.expected)
    return tuple(
        Risk(one, plan.steps[at].number, _last_before(places, at))
        for one in ranked[:MOST_RISKS]
        for at in [number[one.operation]]
    )


def _last_before(places: Sequence[Halt], at: int) -> Halt | None:
    """The last place before a step where the machine may be left; None where it may at none."""
    before = [halt for halt in places if halt.ahead <= at and halt.stop.verdict is not Verdict.UNSAFE]
    return max(before, key=lambda halt: halt.ahead, default=None)
