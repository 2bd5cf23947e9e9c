"""How far a time spreads round its middle, and what of that is shared, by its kind, or its own luck.

All are deviations of logarithms. A time that a file gives as a range keeps that range until there is a
record; it is as much about the occasion as about who does it: at most half of its variance is shared.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from statistics import NormalDist
from typing import NamedTuple

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.model import Machine, Subject
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.plan.hours.hours_table import hours_table

_TENTH = NormalDist().inv_cdf(0.9)
"""Standard deviations from the middle to the point that one time in ten lies beyond."""

_TIMED_BY = {
    Kind.SLACKEN: Kind.UNDO,
    Kind.TIGHTEN: Kind.FASTEN,
    Kind.RETIGHTEN: Kind.FASTEN,
    Kind.SEAT: Kind.LOOSEN,
    Kind.MOVE_BACK: Kind.MOVE_ASIDE,
    Kind.FIT: Kind.REMOVE,
}
"""The operation whose time, or a share of it, another one takes."""


class Spread(NamedTuple):
    """A time's: of what all share, of what its kind shares beside that, its own; their squares add up."""

    shared: float
    kind: float
    own: float


def timed_by(operation: Operation) -> TimeOf:
    """What it takes the time of, or a share of it."""
    return TimeOf(_TIMED_BY.get(operation.kind, operation.kind).value, operation.subject)


def log_deviation(ratio: float | Fraction) -> float:
    """Of a log-normal time whose ends, one time in ten beyond each, are so many times each other."""
    return math.log(ratio) / (2 * _TENTH)


@cache
def deviation_of(*keys: str) -> float:
    """Of what these keys of the table come to together."""
    return math.hypot(*(log_deviation(hours_table()[key]) for key in keys))


ALL_SHARED = ("person", "machine", "rusty", "day")
"""The keys of what all times of a job share."""


def spread_of(machine: Machine, timed: TimeOf) -> Spread:
    """How a time spreads: by its range in the file, else by its kind."""
    ratio = machine.spreads.get(timed)
    if ratio is None:
        whole = log_deviation(_usual(machine, timed))
        shared = min(whole, deviation_of(*ALL_SHARED))
    else:
        whole = log_deviation(ratio)
        shared = min(whole * math.sqrt(0.5), deviation_of(*ALL_SHARED, "ranged"))
    kind = min(math.sqrt(whole**2 - shared**2), deviation_of("alike"))
    return Spread(shared, kind, math.sqrt(max(whole**2 - shared**2 - kind**2, 0.0)))


def kind_of(machine: Machine, timed: TimeOf) -> str:
    """What a time is alike with: joints of its kind, else operations of its kind."""
    joint = machine.own_joint(timed.subject)
    if joint is None:
        return timed.what
    kind = kind_of_joint(joint.kind)
    return kind.name if kind else "joint"


def _usual(machine: Machine, timed: TimeOf) -> float:
    usual: Mapping[str, float] = hours_table()["spread"]
    what = kind_of(machine, timed)
    joint = kind_of_joint(what) if Subject(timed.subject).joint else None
    return joint.spread if joint else usual.get(what, usual["joint"])
