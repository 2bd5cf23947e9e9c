"""How long work takes this person on this machine: an estimate in stages, from one job on.

The model. Of a stretch of work (what lies between two ticks) the logarithm of taken by planned is

    c  +  sum of w_k * a_k  +  w_r * r  +  e

    c = p + m + g + d   what all work of a job shares: the person p, this one machine m, machines as rusty as
                        it is (g: none, light, heavy), and the day d, anew in each job
    a_k                 what joints, or operations, of one kind add to that; w_k is their share of the stretch
    r                   what times that the file gives as ranges add: who writes a range knows that people are
                        slower than a plain time, so before any record c + r is 0 in the middle
    e                   luck: log-normal times of their own spread (``spreads``), added up by the moments of
                        their sum (L. F. Fenton, IRE Transactions on Communications Systems 8 (1960), 57-67;
                        from memory), and a clock that is not to the second

p, m, g, d, a_k and r are normal, with the deviations of ``data/hours.toml``, before anything is on record.
What is on record makes them normal again, and that in closed form (normal prior, normal record: A. Gelman and
others, Bayesian Data Analysis, 3rd ed., chapters 5 and 15; from memory): with rows X, precisions W and prior
precision P

    covariance = (P + X'WX)^-1        mean = covariance (P prior + X'W log)

so that each is drawn towards what is usual the more, the less is told of it. Few records say little of one
kind and already much of the person; the machine and the day are told apart from the person by other jobs.

A stretch that is not what the plan speaks of says nothing: a clock that ran on, a fastener that fought back.
Luck is taken as Student's t with four degrees of freedom, and mixed with something that has nothing to do
with it, as likely beforehand as a clock is forgotten (``late``) and, for what took longer, as the fasteners
of the stretch make trouble (``mishaps``). Each stretch then counts as much as it is likely to be of the
plan's kind, and less the farther out it lies; that is gone through a few times (K. Lange, R. Little, J.
Taylor, "Robust statistical modeling using the t distribution", JASA 84 (1989), 881-896; from memory).

How many stretches of a job lie outside because a fastener made trouble, and how far the others lie off, is
kept of it beside that, each by what was to be expected: the next plan takes its trouble and its luck by them
(``fights``).

Of a job under way the same is done on top of all former jobs: its own p, m and g are the same for what is
left, and d as good as new. A job is kept as what it told of each kind (`ToldPace`),
with the weights that its stretches had; a stretch of several kinds tells of each by its share.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from sequencer.graph.operations import Operation
from sequencer.machine.facts.learned import COMMON, NOTHING, RANGED, Learned, Rate
from sequencer.machine.model import Machine
from sequencer.plan.hours.fights import luck_from, luck_of, trouble_from, usual_luck, usual_trouble
from sequencer.plan.hours.hours_table import hours_table
from sequencer.plan.hours.mishaps import chances
from sequencer.plan.hours.spreads import ALL_SHARED, deviation_of, kind_of, spread_of, timed_by

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[np.float64]]

_FREEDOM, _ROUNDS = 4, 12
_ELSEWHERE = 1 / 8
"""The density of a logarithm that has nothing to do with the plan: anywhere from e^-4 to e^4."""
_FREE = 0.1
"""A stretch is at least so far free of what it says itself."""


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


class Cell(NamedTuple):
    """Work that is told of as one: a kind (``COMMON`` for changes), and whether it is timed by a range."""

    kind: str
    ranged: bool


class ToldPace(NamedTuple):
    """What was told of it: the logarithm of taken by planned, and its precision."""

    log: float
    weight: float


@dataclass(frozen=True)
class JobRecord:
    """One job of a person.

    Attributes:
        job: Its id; a job that is told anew takes the place of what it told before.
        machine: The machine's name; empty where it is not known, as ``rust`` is.
        day: As ``2026-11-25``.
        trouble: How often fasteners made trouble; ``luck``: how far its stretches lay off (`Judged`).
    """

    job: str
    told: Mapping[Cell, ToldPace] = field(default_factory=dict)
    machine: str = ""
    rust: str = ""
    day: str = ""
    trouble: Rate = NOTHING
    luck: Rate = NOTHING


class Stretch(NamedTuple):
    """So many seconds that went into some steps."""

    steps: Sequence[Timed]
    taken: float


@dataclass(frozen=True)
class Judged:
    """What is known after a record, and what it told.

    Attributes:
        known: With all that was known before.
        told: Of each kind.
        trouble: Stretches in which fasteners made trouble, by how many were expected.
        luck: Squares of what the others lay off, by how much was expected.
    """

    known: Learned
    told: Mapping[Cell, ToldPace]
    trouble: Rate = NOTHING
    luck: Rate = NOTHING


def usual() -> Learned:
    """Of a person of whom nothing is known, on a machine of which nothing is known."""
    slower = math.log(hours_table()["slower"])
    common, ranged = deviation_of(*ALL_SHARED) ** 2, deviation_of("ranged") ** 2
    return Learned((COMMON, RANGED), (slower, -slower), ((common, 0.0), (0.0, ranged)))


def known_from(records: Sequence[JobRecord], machine: Machine, person: str = "") -> Learned:
    """What a person's records say of their next job on a machine."""
    if not records:
        return replace(usual(), person=person)
    import numpy as np

    here = JobRecord("", machine=machine.name, rust=machine.condition.rust or "")
    kinds = sorted({cell.kind for one in records for cell in one.told} - {COMMON})
    names = (COMMON, RANGED, *kinds)
    effects = {effect for one in (*records, here) for effect in _effects(one)}
    about = [(name, "") for name in names] + sorted(effects)
    at = {effect: number for number, effect in enumerate(about)}
    slower = math.log(hours_table()["slower"])
    prior = np.array([slower, -slower, *[0.0] * (len(about) - 2)])
    keys = ["person", "ranged", *["alike"] * len(kinds), *(key for key, _ in sorted(effects))]
    cells = [(one, cell, told) for one in records for cell, told in one.told.items()]
    design = np.zeros((len(cells), len(about)))
    for row, (one, cell, _) in zip(design, cells, strict=True):
        row[[at[COMMON, ""], at[cell.kind, ""], *(at[effect] for effect in _effects(one) if one.job)]] = 1
        row[at[RANGED, ""]] = float(cell.ranged)
    logs, weights = ([told[which] for *_, told in cells] for which in (0, 1))
    variances = np.diag([deviation_of(key) ** 2 for key in keys])
    mean, covariance = _after(prior, variances, [*design], logs, weights)
    told = np.eye(len(about))[: len(names)]
    told[0, [at["machine", here.machine], at["rusty", here.rust]]] = 1
    covariance = told @ covariance @ told.T
    covariance[0, 0] += deviation_of("day") ** 2
    return Learned(
        names,
        tuple((told @ mean).tolist()),
        tuple(map(tuple, covariance.tolist())),
        person,
        sum(bool(one.job) for one in records),
        float(mean[at["machine", here.machine]] + mean[at["rusty", here.rust]]),
        trouble_from(_by_machine(records), here.machine),
        luck_from([one.luck for one in records]),
    )


def _by_machine(records: Sequence[JobRecord]) -> dict[str, list[Rate]]:
    found: dict[str, list[Rate]] = {}
    for one in records:
        found.setdefault(one.machine or one.job, []).append(one.trouble)
    return found


def _effects(record: JobRecord) -> tuple[tuple[str, str], ...]:
    """What a job's work has in common beside the person: the key of its deviation, and which one it is.

    What belongs to no job is said of the person alone.
    """
    own = ("machine", record.machine or record.job), ("rusty", record.rust)
    return (*own, ("day", record.job)) if record.job else own


def _after(
    prior: Array, covariance: Array, rows: Sequence[Array], logs: Sequence[float], weights: Sequence[float]
) -> tuple[Array, Array]:
    """Mean and covariance once so much is on record."""
    import numpy as np

    if not rows:
        return prior, covariance
    precision = np.linalg.inv(covariance)
    design, weighed = np.array(rows), np.array(rows) * np.array(weights)[:, None]
    after = np.linalg.inv(precision + design.T @ weighed)
    return after @ (precision @ prior + weighed.T @ np.array(logs)), after


class _Seen(NamedTuple):
    """A stretch as the model sees it: shares of cells, the logarithm, its luck's variance, trouble."""

    shares: Mapping[Cell, float]
    log: float
    variance: float
    trouble: float


def judged(known: Learned, machine: Machine, stretches: Iterable[Stretch]) -> Judged:
    """What is known once a job's stretches are on record, on top of what was known before."""
    import numpy as np

    seen = [one for stretch in stretches if (one := _seen(machine, stretch))]
    kinds = sorted({cell.kind for one in seen for cell in one.shares} - {COMMON})
    known = known.with_kinds(tuple(kinds), deviation_of("alike"))
    if not seen:
        return Judged(known, {})
    design = np.array([[_share(one, name) for name in known.names] for one in seen])
    logs, usual_variance, trouble = np.array([one[1:] for one in seen]).T
    variance = usual_variance * luck_of(known)
    prior, before = np.array(known.means), np.array(known.covariance)
    mean, covariance = prior, before
    for _ in range(_ROUNDS):
        off = logs - design @ mean
        whole = variance + np.einsum("ij,jk,ik->i", design, covariance, design)
        ours, light = _weights(off, whole, trouble)
        weights = ours * light / variance
        mean, covariance = _after(prior, before, [*design], logs.tolist(), weights.tolist())
    covariance = covariance.copy()
    covariance[0, 0] += deviation_of("day") ** 2
    fought = _fought(ours, off, trouble)
    free = np.clip(1 - (whole - variance) / variance, _FREE, 1)  # each fits itself a little
    luck = Rate(float((ours * light * off**2 / usual_variance).sum()), float((ours * free).sum()))
    after = replace(
        known,
        means=tuple(mean.tolist()),
        covariance=tuple(map(tuple, covariance.tolist())),
        trouble=(known.trouble or usual_trouble()).having(fought),
        luck=(known.luck or usual_luck()).having(luck),
    )
    return Judged(after, _told(seen, weights.tolist()), fought, luck)


def _fought(ours: Array, off: Array, trouble: Array) -> Rate:
    """Stretches that lie outside because a fastener made trouble, and how many were expected to be seen."""
    late, seen = float(hours_table()["late"]), float(hours_table()["learn"]["seen"])
    met = (1 - ours) * (off > 0) * (1 - late) * trouble / (late + (1 - late) * trouble)
    return Rate(float(met.sum()), float(trouble.sum()) * seen)


def _share(one: _Seen, name: str) -> float:
    if name == COMMON:
        return 1.0
    return sum(
        share for cell, share in one.shares.items() if (cell.ranged if name == RANGED else cell.kind == name)
    )


def _weights(off: Array, variance: Array, trouble: Array) -> tuple[Array, Array]:
    """How likely a stretch that lies so far off is of the plan's kind, and how much it counts if it is."""
    import numpy as np

    late, square = float(hours_table()["late"]), off**2 / variance
    student = math.gamma((_FREEDOM + 1) / 2) / math.gamma(_FREEDOM / 2) / math.sqrt(_FREEDOM * math.pi)
    density = student * (1 + square / _FREEDOM) ** (-(_FREEDOM + 1) / 2) / np.sqrt(variance)
    other = late + np.where(off > 0, (1 - late) * trouble, 0.0)
    ours = (1 - other) * density
    return ours / (ours + other * _ELSEWHERE), (_FREEDOM + 1) / (_FREEDOM + square)


def _seen(machine: Machine, stretch: Stretch) -> _Seen | None:
    """None for a stretch that says nothing: no time was planned for it, or none went into it."""
    shares: dict[Cell, float] = {}
    planned = mean = squares = 0.0
    for step in stretch.steps:
        timed = timed_by(step.operation)
        own, change = float(step.seconds), float(step.change_seconds)
        luck = spread_of(machine, timed).own ** 2
        planned += own + change
        mean += own * math.exp(luck / 2) + change
        squares += own**2 * math.exp(luck) * math.expm1(luck)
        for cell, seconds in (
            (Cell(kind_of(machine, timed), timed in machine.spreads), own),
            (Cell(COMMON, False), change),
        ):
            shares[cell] = shares.get(cell, 0.0) + seconds
    if planned <= 0 or stretch.taken <= 0:
        return None
    spread = math.log1p(squares / mean**2)
    log = math.log(stretch.taken / mean) + spread / 2
    trouble = chances(machine, (step.operation for step in stretch.steps))
    clock = deviation_of("clock")
    shares = {cell: seconds / planned for cell, seconds in shares.items() if seconds}
    return _Seen(shares, log, spread + clock**2, trouble)


def _told(seen: Sequence[_Seen], weights: Sequence[float]) -> dict[Cell, ToldPace]:
    sums: dict[Cell, tuple[float, float]] = {}
    for one, weight in zip(seen, weights, strict=True):
        for cell, share in one.shares.items():
            log, whole = sums.get(cell, (0.0, 0.0))
            sums[cell] = log + share * weight * one.log, whole + share * weight
    return {cell: ToldPace(log / whole, whole) for cell, (log, whole) in sums.items() if whole > 0}
