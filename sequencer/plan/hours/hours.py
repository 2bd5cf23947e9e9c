"""How long a job really takes: a middle, and between which times it lies eight times in ten.

The times of a plan are exact so that its order can be proven. Nobody's evening is: each time spreads round
its middle as log-normal times do (the usual choice for repair actions made of several tasks of unequal
length: MIL-HDBK-338B, 5.6.2.1), what all of them share (the person, the machine's state) does not average
out, and a fastener that will not turn costs what its ways out cost (``mishaps``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from sequencer.graph.operations import Kind
from sequencer.machine.facts.learned import COMMON, RANGED, Learned
from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.model import Machine
from sequencer.plan.hours.fights import luck_of, trouble_drawn
from sequencer.plan.hours.hours_table import hours_table
from sequencer.plan.hours.mishaps import Mishap, mishaps
from sequencer.plan.hours.records import Timed, usual
from sequencer.plan.hours.spreads import (
    ALL_SHARED,
    Spread,
    deviation_of,
    kind_of,
    log_deviation,
    spread_of,
    timed_by,
)

if TYPE_CHECKING:
    import numpy as np

    Draws = np.ndarray[Any, np.dtype[np.float64]]

PACED = frozenset(Kind) - {Kind.DRAIN, Kind.FILL, Kind.CLOSE, Kind.SEAL, Kind.TORQUE, Kind.LEAK_CHECK}
"""What a person's own pace sets the times of (``job.pace``)."""

_SHORTER, _LONGER = 0.15, 0.05
DRAWS = 2000
_SEED = 1


@dataclass(frozen=True)
class Doubt:
    """What makes a job's hours uncertain.

    Attributes:
        subject: A joint, part, task or fluid, as operations name it.
        share: Of what is uncertain beside all that is shared, from 0 to 1.
    """

    subject: str
    share: float


@dataclass(frozen=True)
class Hours:
    """How long a job takes, in seconds.

    Attributes:
        low: Three times in twenty it is shorter.
        likely: As often longer as shorter.
        high: One time in twenty it is longer: who runs over sits there with the machine open, who is through
            early goes home. What the table does not know of (a worse day, a rustier machine) comes on top.
        doubts: What most of what is uncertain comes from, the largest share first.
    """

    low: int
    likely: int
    high: int
    doubts: tuple[Doubt, ...] = ()


def hours_of(
    machine: Machine, work: Sequence[Timed], known: Learned | None = None, begun: Iterable[str] = ()
) -> Hours:
    """How long so much work takes.

    Args:
        machine: Its ranges (``spreads``) go before the usual spreads of kinds; mishaps go by its condition.
        work: Each step.
        known: What is known of the person and the machine; None: what the machine carries, else nothing.
        begun: Operations that were done before: what moved once gives no more trouble.
    """
    drawn = draws(machine, work, known, begun)
    return replace(hours_in(drawn.steps.sum(axis=0)), doubts=_largest(drawn.doubts))


def hours_in(taken: Draws) -> Hours:
    """What so many draws of a time come to."""
    import numpy as np

    low, likely, high = np.quantile(taken, (_SHORTER, 0.5, 1 - _LONGER))
    return Hours(round(low), round(likely), round(high))


def reaching(
    machine: Machine,
    work: Sequence[Timed],
    seconds: float,
    known: Learned | None = None,
    begun: Iterable[str] = (),
) -> tuple[tuple[float, float], ...]:
    """For each step, how likely it is done within so many seconds, from 0 to 1, and after how many it is."""
    import numpy as np

    taken = draws(machine, work, known, begun).steps.cumsum(axis=0)
    sure, likely = (taken <= seconds).mean(axis=1), np.median(taken, axis=1)
    return tuple((float(share), float(middle)) for share, middle in zip(sure, likely, strict=True))


@dataclass(frozen=True)
class Drawn:
    """Times drawn by lot.

    Attributes:
        steps: Seconds of each step (rows) in each of the `DRAWS` (columns).
        doubts: The variance that each subject brings by its own luck, in square seconds.
        changes: What each second of a change of tool or place takes, in each draw.
    """

    steps: Draws
    doubts: Mapping[str, float]
    changes: Draws


def draws(
    machine: Machine, work: Sequence[Timed], known: Learned | None = None, begun: Iterable[str] = ()
) -> Drawn:
    """The time of each step in 2,000 draws, always from the same seed.

    What is each time's own is a Latin hypercube (M. D. McKay, R. J. Beckman, W. J. Conover, "A comparison of
    three methods for selecting values of input variables", Technometrics 21 (1979), 239-245). A time that
    spreads less than what is shared takes part in that so far as its own spread allows; what spreads more
    shares some of the rest with its kind, and has the rest for itself. What is timed by one range (a joint's
    slackening and its undoing) goes together. Changes of tool and place have no luck of their own.
    """
    import numpy as np

    lots = np.random.Generator(np.random.PCG64(_SEED))
    scores = np.array(_scores())
    times = [timed_by(step.operation) for step in work]
    kinds = {timed: kind_of(machine, timed) for timed in times}
    common = _Common(machine, known, tuple(kinds.values()), lots)
    steps = np.empty((len(work), DRAWS))
    factors: dict[TimeOf, tuple[Draws, float]] = {}
    middles: dict[TimeOf, float] = {}
    for row, step, timed in zip(steps, work, times, strict=True):
        if timed not in factors:
            spread = spread_of(machine, timed)
            drift = common.drift(kinds[timed], spread, ranged=timed in machine.spreads)
            paced = common.paced(step.operation.kind, kinds[timed], ranged=timed in machine.spreads)
            own = spread.own * common.luck
            factors[timed] = np.exp(drift - paced + own * lots.permutation(scores)), own
        row[:] = float(step.seconds) * factors[timed][0] + float(step.change_seconds) * common.factor
        middles[timed] = middles.get(timed, 0.0) + float(step.seconds)
    doubts: dict[str, float] = {}
    for timed, middle in middles.items():
        doubts[timed.subject] = doubts.get(timed.subject, 0.0) + _variance(middle, factors[timed][1])
    middle, deviation = common.trouble
    state = middle * np.exp(deviation * lots.permutation(scores))
    at = {step.operation.name: number for number, step in enumerate(work)}
    for mishap in mishaps(machine, (step.operation for step in work), begun):
        cost = _cost(mishap, state, lots) * common.factor
        steps[at[mishap.operation]] += cost
        doubts[mishap.joint] = doubts.get(mishap.joint, 0.0) + float(cost.var())
    return Drawn(steps, doubts, common.factor)


class _Common:
    """Draws of what times share.

    Attributes:
        factor: Of all work, as that of changes of tool and place.
        luck: On the deviation of what is each time's own.
        trouble: How often it comes, by how often it usually does: its middle and its spread, a deviation.
    """

    def __init__(
        self, machine: Machine, known: Learned | None, kinds: tuple[str, ...], lots: np.random.Generator
    ) -> None:
        import numpy as np

        carried = machine.learned
        self._scaled = carried if carried is not None and carried.scaled else None
        self._known = (known or carried or usual()).with_kinds(kinds, deviation_of("alike"))
        self.luck, self.trouble = math.sqrt(luck_of(self._known)), trouble_drawn(self._known)
        names, scores = self._known.names, np.array(_scores())
        drawn = np.array([lots.permutation(scores) for _ in names])
        apart = np.linalg.cholesky(np.array(self._known.covariance)) @ drawn
        self._off = dict(zip(names, apart, strict=True))
        self.factor: Draws = np.exp(self._known.mean(COMMON) + self._off[COMMON])

    def drift(self, kind: str, spread: Spread, *, ranged: bool) -> Draws:
        """The logarithm of a time by its middle in the file, its own luck left out.

        What is uncertain of what times share counts as far as their own spread allows; what is known of it
        counts in full.
        """
        shared = self._off[COMMON] + self._off[RANGED] if ranged else self._off[COMMON]
        part = spread.shared / deviation_of(*ALL_SHARED, *(["ranged"] if ranged else []))
        own = spread.kind / deviation_of("alike") * self._off[kind]
        found: Draws = self._known.middle(kind, ranged=ranged) + part * shared + own
        return found

    def paced(self, operation: Kind, kind: str, *, ranged: bool) -> float:
        """The logarithm of what the machine's times were multiplied by already."""
        if self._scaled is None or operation not in PACED:
            return 0.0
        return math.log(self._scaled.factor(kind, ranged=ranged))


@cache
def _scores() -> tuple[float, ...]:
    """The middle of each of the equally likely slices of the standard normal distribution."""
    return tuple(NormalDist().inv_cdf((number + 0.5) / DRAWS) for number in range(DRAWS))


def _variance(middle: float, own: float) -> float:
    """Of a log-normal time of its own luck alone, in square seconds."""
    return middle**2 * math.exp(own**2) * (math.exp(own**2) - 1)


def _cost(mishap: Mishap, state: Draws, lots: np.random.Generator) -> Draws:
    """What a mishap costs in each draw: so many fasteners, for each the ways out until one helps."""
    import numpy as np

    rules = hours_table()["trouble"]
    chance = np.minimum(mishap.chance * state, float(rules["most"]))
    many = lots.binomial(mishap.count, chance)
    tried = np.minimum(lots.geometric(float(rules["helps"]), size=DRAWS), len(mishap.seconds))
    spent = np.cumsum(mishap.seconds)[tried - 1]
    own = log_deviation(rules["way"])
    cost: Draws = many * spent * np.exp(own * lots.standard_normal(DRAWS))
    return cost


def _largest(doubts: Mapping[str, float]) -> tuple[Doubt, ...]:
    tell, whole = hours_table()["tell"], sum(doubts.values())
    shares = (Doubt(subject, value / whole) for subject, value in doubts.items() if whole and value)
    ranked = sorted(shares, key=lambda doubt: -doubt.share)[: int(tell["most"])]
    return tuple(doubt for doubt in ranked if doubt.share >= tell["share"])
