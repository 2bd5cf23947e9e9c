"""The step that opens something for hours: said before it is begun, not once nobody can leave the machine.

Between such a step and the next place where the machine may be left there is none to stop. With an evening
said (``tonight``) each of them is told that is not surely over in time; without one those that take long.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import accumulate

from sequencer.job.evenings.evening import EveningWish, Halt, halts_of, working_seconds
from sequencer.job.evenings.tonight import wish_of
from sequencer.job.learning.timed import known_of
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import stops_ahead
from sequencer.plan.hazards.stops import Stop, Verdict
from sequencer.plan.plan import Step

FOR_HOURS = 3600.0
"""Seconds for which a machine can't be left that are worth a word where no evening was said (common
practice)."""


@dataclass(frozen=True)
class Opening:
    """A step from which on the machine can't be left.

    Attributes:
        step: The step.
        before: The number of the step after which it still may be left; None: where it stands now.
        closed: After which it may be left again; ``last``: none is, and this one is the last that is left.
        seconds: How long it likely takes, from the beginning of the step to there.
        ahead: How long to there from now on; ``at``: when that would be.
        has: What there is for work until the end of the evening; none where none was said.
        wish: The evening that was said; None: there is none.
    """

    step: Step
    before: int | None
    closed: int
    last: bool
    seconds: float
    ahead: float
    at: datetime
    has: float
    wish: EveningWish | None

    @property
    def late(self) -> bool:
        """Whether it is likely over only after the end of the evening that was said."""
        return self.wish is not None and self.at > self.wish.until


def openings(moment: Moment, person: str, now: datetime) -> tuple[Opening, ...]:
    """The steps ahead that should not be begun this evening, or not without knowing how long they bind."""
    plan, wish = moment.plan, wish_of(moment, person, now)
    if not plan.steps:
        return ()
    here, later = stops_ahead(moment)
    stretches = list(_stretches(here, later))
    known = known_of(moment, person)
    if wish is None:
        spent = [0.0, *accumulate(float(step.seconds + step.change_seconds) for step in plan.steps)]
        stretches = [(i, j) for i, j in stretches if (spent[j + 1] - spent[i]) * known.factor() >= FOR_HOURS]
    if not stretches:
        return ()
    halts = halts_of(moment, known, wish.seconds(now) if wish else 0.0, later, now)
    has = working_seconds(moment, wish.seconds(now)) if wish else 0.0
    return tuple(
        _opening(plan.steps, halts, i, j, has, wish, now)
        for i, j in stretches
        if wish is None or halts[j].chance < wish.chance
    )


def _stretches(here: Stop, later: Sequence[Stop]) -> Iterator[tuple[int, int]]:
    """Each run of steps in which the machine can't be left: the place of the first, and of the last."""
    unsafe = [stop.verdict is Verdict.UNSAFE for stop in (here, *later)]
    for i in range(len(later)):
        if unsafe[i + 1] and not unsafe[i]:
            yield i, next((j for j in range(i + 1, len(later)) if not unsafe[j + 1]), len(later) - 1)


def _opening(
    steps: Sequence[Step],
    halts: Sequence[Halt],
    i: int,
    j: int,
    has: float,
    wish: EveningWish | None,
    now: datetime,
) -> Opening:
    return Opening(
        steps[i],
        steps[i - 1].number if i else None,
        steps[j].number,
        halts[j].stop.verdict is Verdict.UNSAFE,
        halts[j].likely - halts[i].begins,
        halts[j].likely,
        now + timedelta(seconds=halts[j].likely),
        has,
        wish,
    )
