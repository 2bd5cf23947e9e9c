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
from fractions import Fraction
from functools import cache
from statistics import NormalDist
from typing import TYPE_CHECKING, Any, Protocol

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.kinds import kind_of_joint
from sequencer.machine.model import Machine
from sequencer.plan.hours_table import hours_table
from sequencer.plan.mishaps import Mishap, mishaps

if TYPE_CHECKING:
    import numpy as np

    Draws = np.ndarray[Any, np.dtype[np.float64]]

_TENTH = NormalDist().inv_cdf(0.9)
"""Standard deviations from the middle to the point that one time in ten lies beyond."""

DRAWS = 2000
_SEED = 1

_TIMED_BY = {
    Kind.SLACKEN: Kind.UNDO,
    Kind.TIGHTEN: Kind.FASTEN,
    Kind.RETIGHTEN: Kind.FASTEN,
    Kind.SEAT: Kind.LOOSEN,
    Kind.MOVE_BACK: Kind.MOVE_ASIDE,
    Kind.FIT: Kind.REMOVE,
}
"""The operation whose time, or a share of it, another one takes."""


class Timed(Protocol):
    """A step with what it counts in a plan, in seconds: its own, and the changes before it."""

    @property
    def operation(self) -> Operation:
        """What is done."""

    @property
    def seconds(self) -> Fraction:
        """Its own time."""

    @property
    def change_seconds(self) -> Fraction:
        """The changes of tool and place before it."""


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
        low: One time in ten it is shorter.
        likely: As often longer as shorter.
        high: One time in ten it is longer.
        doubts: What most of what is uncertain comes from, the largest share first.
    """

    low: int
    likely: int
    high: int
    doubts: tuple[Doubt, ...] = ()


@dataclass(frozen=True)
class Shared:
    """What all times of a job have in common, the person and the machine's state: a log-normal factor.

    Attributes:
        middle: As often more as less.
        deviation: Of its logarithm.
    """

    middle: float
    deviation: float

    @classmethod
    def usual(cls) -> Shared:
        """Of a person of whom nothing is known, on a machine of which nothing is known."""
        return cls(float(hours_table()["slower"]), _log_deviation(hours_table()["shared"]))

    def told(self, records: Sequence[tuple[float, float]]) -> Shared:
        """The factor once so much is on record: the mean of normal logarithms, what is known before included.

        A record far out (a forgotten clock) counts the less the farther: weights of Student's t with four
        degrees of freedom (K. Lange, R. Little, J. Taylor, "Robust statistical modeling using the t
        distribution", JASA 84 (1989), 881-896; from memory).

        Args:
            records: The logarithm of taken by planned, and its variance by luck alone.
        """
        own, middle = self.deviation**-2, math.log(self.middle)
        for _ in range(_ROUNDS):
            weights = [
                (_FREEDOM + 1) / (_FREEDOM + (log - middle) ** 2 / variance) / variance
                for log, variance in records
            ]
            whole = own + sum(weights)
            told = sum(weight * log for weight, (log, _) in zip(weights, records, strict=True))
            middle = (own * math.log(self.middle) + told) / whole
        left = math.hypot(whole**-0.5, float(hours_table()["drift"]))
        return Shared(math.exp(middle), min(left, self.deviation))


_FREEDOM, _ROUNDS = 4, 8


def luck(machine: Machine, work: Iterable[Timed]) -> float:
    """The variance of the logarithm of what this work takes, by its own luck alone."""
    whole, squares, alike = 0.0, 0.0, dict[str, float]()
    for step in work:
        timed = _timed(step.operation)
        _, kind, own = _parts(_deviation(machine, timed))
        whole += float(step.seconds + step.change_seconds)
        squares += _variance(float(step.seconds), own)
        what = _kind(machine, timed)
        alike[what] = alike.get(what, 0.0) + float(step.seconds) * kind
    squares += sum(seconds**2 for seconds in alike.values())
    return math.log1p(squares / whole**2) + _CLOCK**2 if whole else math.inf


_CLOCK = 0.15
"""How far off a tick is from when a step was really done (common practice)."""


def hours_of(
    machine: Machine, work: Sequence[Timed], shared: Shared | None = None, begun: Iterable[str] = ()
) -> Hours:
    """How long so much work takes.

    Args:
        machine: Its ranges (``spreads``) go before the usual spreads of kinds; mishaps go by its condition.
        work: Each step.
        shared: What is known of the person and the machine; None: nothing.
        begun: Operations that were done before: what moved once gives no more trouble.
    """
    drawn = draws(machine, work, shared, begun)
    return replace(hours_in(drawn.steps.sum(axis=0)), doubts=_largest(drawn.doubts))


def hours_in(taken: Draws) -> Hours:
    """What so many draws of a time come to."""
    import numpy as np

    low, likely, high = np.quantile(taken, (0.1, 0.5, 0.9))
    return Hours(round(low), round(likely), round(high))


def reaching(
    machine: Machine,
    work: Sequence[Timed],
    seconds: float,
    shared: Shared | None = None,
    begun: Iterable[str] = (),
) -> tuple[tuple[float, float], ...]:
    """For each step, how likely it is done within so many seconds, from 0 to 1, and after how many it is."""
    import numpy as np

    taken = draws(machine, work, shared, begun).steps.cumsum(axis=0)
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
    machine: Machine, work: Sequence[Timed], shared: Shared | None = None, begun: Iterable[str] = ()
) -> Drawn:
    """The time of each step in 2,000 draws, always from the same seed.

    What is each time's own is a Latin hypercube (M. D. McKay, R. J. Beckman, W. J. Conover, "A comparison of
    three methods for selecting values of input variables", Technometrics 21 (1979), 239-245). A time that
    spreads less than what is shared takes part in that so far as its own spread allows; what spreads more
    shares some of the rest with its kind, and has the rest for itself. What is timed by one range (a joint's
    slackening and its undoing) goes together. Changes of tool and place have no luck of their own.
    """
    import numpy as np

    usual = Shared.usual()
    shared = shared or usual
    lots = np.random.Generator(np.random.PCG64(_SEED))
    scores = np.array(_scores())
    common = math.log(shared.middle) + shared.deviation * lots.permutation(scores)
    factor, steps = np.exp(common), np.empty((len(work), DRAWS))
    factors: dict[str, tuple[Draws, float]] = {}
    alike: dict[str, Draws] = {}
    middles: dict[str, float] = {}
    for row, step in zip(steps, work, strict=True):
        timed = _timed(step.operation)
        if timed not in factors:
            part, kind, own = _parts(_deviation(machine, timed))
            what = _kind(machine, timed)
            if what not in alike:
                alike[what] = lots.permutation(scores)
            known = math.log(usual.middle) if timed in machine.spreads else 0.0  # said by who knows it
            drift = part / usual.deviation * (common - known) + kind * alike[what]
            factors[timed] = np.exp(drift + own * lots.permutation(scores)), own
        row[:] = float(step.seconds) * factors[timed][0] + float(step.change_seconds) * factor
        middles[timed] = middles.get(timed, 0.0) + float(step.seconds)
    doubts: dict[str, float] = {}
    for timed, middle in middles.items():
        subject = timed.partition(" ")[2]
        doubts[subject] = doubts.get(subject, 0.0) + _variance(middle, factors[timed][1])
    state = np.exp(math.log(hours_table()["trouble"]["machine"]) / (2 * _TENTH) * lots.permutation(scores))
    at = {step.operation.name: number for number, step in enumerate(work)}
    for mishap in mishaps(machine, (step.operation for step in work), begun):
        cost = _cost(mishap, state, lots)
        steps[at[mishap.operation]] += cost
        doubts[mishap.joint] = doubts.get(mishap.joint, 0.0) + float(cost.var())
    return Drawn(steps, doubts, factor)


@cache
def _scores() -> tuple[float, ...]:
    """The middle of each of the equally likely slices of the standard normal distribution."""
    return tuple(NormalDist().inv_cdf((number + 0.5) / DRAWS) for number in range(DRAWS))


def _timed(operation: Operation) -> str:
    """The operation whose time it takes, or a share of it."""
    return f"{_TIMED_BY.get(operation.kind, operation.kind).value} {operation.subject}"


def _deviation(machine: Machine, timed: str) -> float:
    """The standard deviation of the logarithm of a time: by its range, else by its kind."""
    ratio = machine.spreads.get(timed)
    return _log_deviation(_usual_spread(machine, timed) if ratio is None else ratio)


def _log_deviation(ratio: float | Fraction) -> float:
    """Of a log-normal time whose ends, one time in ten beyond each, are so many times each other."""
    return math.log(ratio) / (2 * _TENTH)


def _parts(whole: float) -> tuple[float, float, float]:
    """How much of a time's deviation is shared by all, by its kind, and its own; their squares add up."""
    part = min(whole, Shared.usual().deviation)
    kind = min(math.sqrt(whole**2 - part**2), _log_deviation(hours_table()["alike"]))
    return part, kind, math.sqrt(max(whole**2 - part**2 - kind**2, 0.0))


def _kind(machine: Machine, timed: str) -> str:
    """What it is alike with: joints of its kind, else operations of its kind."""
    what, _, subject = timed.partition(" ")
    part, slash, name = subject.partition("/")
    if slash and part in machine.parts and name in machine.parts[part].joints:
        kind = kind_of_joint(machine.parts[part].joints[name].kind)
        return kind.name if kind else "joint"
    return what


def _usual_spread(machine: Machine, timed: str) -> float:
    usual: Mapping[str, float] = hours_table()["spread"]
    what = _kind(machine, timed)
    joint = kind_of_joint(what) if timed.partition(" ")[2].count("/") else None
    return joint.spread if joint else usual.get(what, usual["joint"])


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
    own = math.log(rules["way"]) / (2 * _TENTH)
    cost: Draws = many * spent * np.exp(own * lots.standard_normal(DRAWS))
    return cost


def _largest(doubts: Mapping[str, float]) -> tuple[Doubt, ...]:
    tell, whole = hours_table()["tell"], sum(doubts.values())
    shares = (Doubt(subject, value / whole) for subject, value in doubts.items() if whole and value)
    ranked = sorted(shares, key=lambda doubt: -doubt.share)[: int(tell["most"])]
    return tuple(doubt for doubt in ranked if doubt.share >= tell["share"])
