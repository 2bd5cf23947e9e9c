"""What else could be done while a job is open: what it adds now, against doing it on its own another day.

What an extra costs now is what it adds to the whole job: the best job with it, less the best job without.
What it costs another day is its own best job. Both are prices of the way in, and proven. The way back is
solved only when asked for, since that takes long on a large machine: then both ways count, each like a plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.graph import Target
from sequencer.graph.blocker_tree import comes_off
from sequencer.machine.model import Machine, Renewal
from sequencer.plan.answer import Watch
from sequencer.plan.hours.hours import Hours
from sequencer.plan.plan import Totals
from sequencer.plan.prices.prices import Alone, Also, Change, Price, Pricer
from sequencer.plan.prices.prices_many import Prices, Told, price_all, with_others, worthwhile

WORTH = Fraction(1, 2)
"""A renewal is called worth doing from this share saved on (common practice: our own judgement)."""


@dataclass(frozen=True)
class Extra:
    """One part that could come off as well; a target that is only eased is one, too.

    Attributes:
        comes_off_anyway: The job takes it off already.
        now: Seconds that it adds to the job. None: not worked out, or not possible with this job.
        alone: Seconds of a job of its own. None: not worked out, or not possible.
        proven: Both are.
        possible: False: it can't come off, in this job or at all.
        renew: What is renewed with it.
    """

    part: str
    comes_off_anyway: bool
    now: Fraction | None
    alone: Fraction | None
    proven: bool
    possible: bool
    renew: tuple[Renewal, ...] = ()

    @property
    def share_saved(self) -> Fraction | None:
        """Of a job of its own, what doing it now saves: 1 for nothing added; negative where it costs more."""
        if self.now is None or self.alone is None:
            return None
        return 1 - self.now / self.alone if self.alone else Fraction(0)

    @property
    def price(self) -> Fraction | None:
        """The money for what is renewed, as far as the file prices it; None where it prices nothing."""
        prices = [item.price * item.count for item in self.renew if item.price is not None]
        return sum(prices, Fraction(0)) if prices else None

    @property
    def worth_doing(self) -> bool:
        """Whether something is to be renewed there, and the open job saves a good share of the work."""
        share = self.share_saved
        return bool(self.renew) and share is not None and share >= WORTH


@dataclass(frozen=True)
class Extras:
    """All extras of a job, the greatest share saved first.

    Attributes:
        seconds: The job itself, both ways where ``both_ways``.
        hours: How long the way in really takes.
        interrupted: Some are not worked out.
    """

    machine: Machine
    targets: tuple[Target, ...]
    seconds: Fraction
    totals: Totals
    hours: Hours
    proven: bool
    extras: tuple[Extra, ...]
    both_ways: bool = False
    interrupted: bool = False


def extras(
    machine: Machine,
    targets: Sequence[Target],
    limits: Limits = Limits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
    *,
    both_ways: bool = False,
    workers: int = 1,
    told: Told | None = None,
) -> Extras:
    """Price every other part as an extra of a job.

    Args:
        machine: The machine.
        targets: What the job is for.
        limits: For each question put to the engine.
        watch: Told while the job itself is solved.
        both_ways: Count the way back too; each is solved in full, which takes long on a large machine.
        workers: Processes to share the prices.
        told: Told at the start and after each price.

    Raises:
        UnreachableError: No order of work reaches the targets.
    """
    workers = worthwhile(workers, machine)
    desk, hands = with_others(workers, lambda: Pricer(machine, targets, limits, watch, both_ways=both_ways))
    done = set(desk.answer.order)
    aims = {target.part for target in targets if target.state is not None and comes_off(target.part) in done}
    others = [part for part in machine.parts if part not in aims]
    anyway = {part for part in others if comes_off(part) in done}
    changes: list[Change] = [Also(part) for part in others if part not in anyway]
    # The jobs alone are soon solved: they come first, so that an interruption leaves something to read.
    prices = price_all(desk, [*map(Alone, others), *changes], workers, told, hands)
    found = [_extra(desk, part, prices, anyway=part in anyway) for part in others]
    base = desk.base
    assert base.seconds is not None
    return Extras(
        machine,
        tuple(targets),
        base.seconds,
        desk.answer.totals,
        desk.hours,
        base.proven,
        tuple(sorted(found, key=_rank)),
        both_ways,
        prices.interrupted,
    )


def _extra(desk: Pricer, part: str, prices: Prices, *, anyway: bool) -> Extra:
    base = desk.base
    also: Price | None = base if anyway else prices.known.get(Also(part))
    alone = prices.known.get(Alone(part))
    known = [price for price in (also, alone) if price is not None]
    assert base.seconds is not None
    return Extra(
        part,
        anyway,
        None if also is None or also.seconds is None else also.seconds - base.seconds,
        None if alone is None else alone.seconds,
        base.proven and all(price.proven for price in known),
        all(price.seconds is not None for price in known),
        desk.machine.parts[part].renew,
    )


def _rank(extra: Extra) -> tuple[bool, Fraction, Fraction]:
    """The greatest share saved first; among equals the longest job of its own; what is not known last."""
    share = extra.share_saved
    return share is None, -(share or Fraction(0)), -(extra.alone or Fraction(0))
