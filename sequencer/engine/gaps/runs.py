"""Operations that rules hold together in a small place: a table takes them in as one.

Where a rule lets only few operations come between two others, ideals that hold one of the two and not the
other are few: together they make hardly more than one of them does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sequencer.engine.base.bits import union_of
from sequencer.engine.gaps.turn import firm, of_setups, with_earlier

if TYPE_CHECKING:
    from sequencer.engine.base.gaps import Gaps
    from sequencer.engine.base.job import Job

FEW_BETWEEN = 12
"""Operations that may come between, up to which a place is small."""


def held_together(job: Job, gaps: Gaps) -> list[int]:
    """Sets of operations, no two of which have any in common."""
    places: dict[int, int] = {}
    for rule in gaps.whiles:
        if rule.after and rule.until:
            places[rule.following] = places.get(rule.following, 0) | rule.after | rule.until
    for stay in firm(job, gaps):
        leaving = of_setups(job, stay.leaving or 0)
        elsewhere = stay.following & ~leaving & ~with_earlier(job, stay.after)
        if stay.after and not stay.after & ~leaving and not elsewhere:
            places[leaving] = places.get(leaving, 0) | stay.after | stay.until
    found: list[int] = []
    for inside, ops in places.items():
        if inside.bit_count() <= FEW_BETWEEN:
            near = [known for known in found if known & ops]
            found = [known for known in found if not known & ops]
            found.append(union_of((ops, *near)))
    return found
