"""How long a job really takes, in words: round figures, and what makes them uncertain."""

from __future__ import annotations

import math

from sequencer.document.words import duration
from sequencer.graph.said import subject_words
from sequencer.machine.facts.learned import COMMON, RANGED, Learned
from sequencer.plan.hours.hours import Hours
from sequencer.plan.plan import Plan
from sequencer.wording import listing

_STEPS = ((90, 10), (600, 60), (3600, 300), (5 * 3600, 900), (10 * 3600, 1800))
"""Up to so many seconds a time is said to so many; beyond, to the hour."""
_ALL_BUT_SURE = 0.95


def roughly(seconds: float) -> str:
    """A time in round words: ``40 s``, ``25 min``, ``3 h 45 min``, ``12 h``."""
    to = next((step for most, step in _STEPS if seconds < most), 3600)
    return duration(max(round(seconds / to), 1) * to)


def hours_words(hours: Hours) -> str:
    """``about 5 h (3 h 45 min to 7 h, 8 times in 10)``; ``about 10 s`` where the range is no wider."""
    low, high = roughly(hours.low), roughly(hours.high)
    return f"about {roughly(hours.likely)}" + (f" ({low} to {high}, 8 times in 10)" if low != high else "")


def known_words(known: Learned) -> str:
    """``from your last 3 jobs: 1.3 times the usual time (1 to 1.6, 8 times in 10); nuts 1.5, …``.

    Only what stands out is named: kinds that are far from the common, and this machine beside others.
    """
    middle, deviation = known.mean(COMMON), known.deviation(COMMON)
    low, high = (math.exp(middle + side * _TENTH * deviation) for side in (-1, 1))
    last = "your last job" if known.jobs == 1 else f"your last {known.jobs} jobs"
    source = last if known.jobs else "your pace file"
    words = [f"from {source}: {_times(middle)} times the usual time ({low:.1f} to {high:.1f}, 8 times in 10)"]
    kinds = [(abs(known.mean(kind)), kind) for kind in known.names if kind not in (COMMON, RANGED)]
    far = [kind for off, kind in sorted(kinds, reverse=True) if off >= math.log(_FAR)][:_MOST_KINDS]
    if far:
        words.append(listing(f"{kind} {_times(known.middle(kind))}" for kind in far))
    if abs(known.beside) >= math.log(_FAR):
        words.append(f"of that, this machine {_times(known.beside)}")
    return "; ".join(words)


_FAR, _MOST_KINDS, _TENTH = 1.1, 3, 1.2816
"""What differs by a tenth is named; a normal deviation is above that last one time in ten."""


def _times(log: float) -> str:
    return f"{math.exp(log):.1f}"


def doubt_words(plan: Plan) -> str:
    """What most of the uncertainty comes from, each with its step; empty where nothing stands out."""
    named = []
    for doubt in plan.hours.doubts:
        step = next((one for one in plan.steps if one.operation.subject == doubt.subject), None)
        if step is not None:
            named.append(f"{subject_words(plan.machine, step.operation, volume=False)} ({step.number})")
    return f"Most of the uncertainty: {listing(named)}." if named else ""


def chance_words(chance: float) -> str:
    """``9 times in 10``, rounded down so that no more is promised; words for what is all but sure, or not."""
    if chance >= _ALL_BUT_SURE:
        return "almost surely"
    tenths = int(chance * 10 + 1e-9)
    return f"{tenths} {'time' if tenths == 1 else 'times'} in 10" if tenths else "hardly ever"
