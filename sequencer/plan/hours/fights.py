"""How often fasteners fight back, and how far luck goes: what records say of both, in closed form.

How often trouble comes, by how often it usually does, is a factor of the person (what they count as trouble,
which machines they take on) times one of this machine (its rust, who had it apart before). Each is a gamma
distribution of mean 1 before any record, and with counts that are Poisson it is one again: so many more
counted, so many more expected (A. Gelman and others, Bayesian Data Analysis, 3rd ed., 2.6; from memory). Of
the person a machine tells the less for each count, the more there are of it, for its own factor goes through
all of them (credibility: H. Buehlmann and E. Straub, 1970; from memory).

How far luck goes is a factor on its variance: residuals by what was expected of them, drawn towards 1 by
``luck`` stretches of the table, as an inverse gamma distribution does. It is never less than 1.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sequencer.machine.facts.learned import NOTHING, Learned, Rate
from sequencer.plan.hours.hours_table import hours_table
from sequencer.plan.hours.spreads import log_deviation


def usual_trouble() -> Rate:
    """Of a machine of which nothing is known: as wide as the spread of the table."""
    return Rate(*[1 / math.expm1(log_deviation(hours_table()["trouble"]["machine"]) ** 2)] * 2)


def usual_luck() -> Rate:
    """Before any record."""
    return Rate(*[float(hours_table()["learn"]["luck"])] * 2)


def trouble_from(told: Mapping[str, Sequence[Rate]], here: str) -> Rate:
    """How often fasteners of one machine make trouble, by what was counted on each machine."""
    own, whole = usual_trouble(), Rate(*[float(hours_table()["learn"]["trouble"])] * 2)
    machines = {name: _sum(rates) for name, rates in told.items()}
    for one in machines.values():
        part = 1 / (1 + one.expected / own.expected)
        whole = whole.having(Rate(part * one.counted, part * one.expected))
    found = own.having(_times(machines.get(here, NOTHING), whole.mean))
    return Rate(found.counted, found.expected / whole.mean)


def luck_from(told: Sequence[Rate]) -> Rate:
    """How far a person's luck goes."""
    return usual_luck().having(_sum(told))


def trouble_drawn(known: Learned) -> tuple[float, float]:
    """How often trouble comes, by how often it usually does: its middle, and the deviation of its log."""
    usual = log_deviation(hours_table()["trouble"]["machine"])
    if known.trouble is None:
        return 1.0, usual
    variance = math.log1p(1 / known.trouble.counted)
    return known.trouble.mean * math.exp((usual**2 - variance) / 2), math.sqrt(variance)


def luck_of(known: Learned) -> float:
    """How many times its usual variance luck has."""
    return max(1.0, known.luck.mean) if known.luck else 1.0


def _sum(rates: Sequence[Rate]) -> Rate:
    return Rate(sum(one.counted for one in rates), sum(one.expected for one in rates))


def _times(rate: Rate, factor: float) -> Rate:
    return Rate(rate.counted, rate.expected * factor)
