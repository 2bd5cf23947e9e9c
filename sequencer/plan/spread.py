"""Between which times a job lies, where the file gives times as ranges."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import cache
from random import Random
from statistics import NormalDist

from sequencer.graph.operations import Kind, Operation

_TENTH = NormalDist().inv_cdf(0.9)
"""Standard deviations from the middle to the point that one time in ten lies beyond."""

_DRAWS = 2000
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


def range_seconds(
    spreads: Mapping[str, Fraction], done: Iterable[tuple[Operation, Fraction]], total: Fraction
) -> tuple[int, int] | None:
    """The two times, in whole seconds, between which the job's own lies eight times in ten.

    A range is read as a log-normal time: one time in ten below its lower end, one in ten beyond its upper
    end, and its middle the geometric mean that the plan counts. Ranges are independent of one another;
    all that is timed by one range (a joint's slackening and its undoing, the fasteners under ``each``) goes
    together. Changes of tool and place and all other times are certain. The sum is drawn 2,000 times by
    lot, always from the same seed, as a Latin hypercube (M. D. McKay, R. J. Beckman, W. J. Conover, "A
    comparison of three methods for selecting values of input variables", Technometrics 21 (1979), 239-245);
    the answer is its 10th and its 90th percentile. (Fenton's sum of log-normals, 1960, came out too wide
    where one range is far wider than the others.)

    Args:
        spreads: The upper end of each range divided by its lower one (``Machine.spreads``).
        done: Each operation with the seconds that it counts.
        total: The whole job's seconds.

    Returns:
        None where the file has no range.
    """
    if not spreads:
        return None
    middles: dict[str, float] = {}
    for operation, seconds in done:
        timed = f"{_TIMED_BY.get(operation.kind, operation.kind).value} {operation.subject}"
        if timed in spreads and seconds:
            middles[timed] = middles.get(timed, 0.0) + float(seconds)
    if not middles:
        return round(total), round(total)
    certain = float(total) - sum(middles.values())
    luck, sums = Random(_SEED), [certain] * _DRAWS  # noqa: S311 - the same draws in every run, no secret
    for timed, middle in middles.items():
        deviation = math.log(spreads[timed]) / (2 * _TENTH)
        drawn = [middle * math.exp(deviation * score) for score in _scores()]
        luck.shuffle(drawn)
        sums = [one + more for one, more in zip(sums, drawn, strict=True)]
    sums.sort()
    return round(sums[_DRAWS // 10]), round(sums[-_DRAWS // 10])


@cache
def _scores() -> tuple[float, ...]:
    """The middle of each of the equally likely slices of the standard normal distribution."""
    return tuple(NormalDist().inv_cdf((number + 0.5) / _DRAWS) for number in range(_DRAWS))
