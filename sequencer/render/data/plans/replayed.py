"""An order of work that was played through against the shapes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

from sequencer.render.data.plain import Record

if TYPE_CHECKING:
    from sequencer.graph.geometry.replayed import Replayed


class CollisionData(Record):
    """A step that runs into something where that lies by then."""

    step: int
    operation: str
    what: Annotated[str, "`out`, `loose`, `aside` (a part moves), `reach`, `swing`, `draw` (at a joint)."]
    way: Annotated[str, "The way along the axes; empty for `loose` and `aside`."]
    obstacle: Annotated[str, "`part` or `part/joint`"]
    state: Annotated[str, "Where the obstacle's part is by then: `fitted`, `loose`, `aside`."]


class ReplayedData(Record):
    """An order played through against the shapes."""

    moves: int
    judged: Annotated[int, "So many of the moves have the shapes to tell."]
    collisions: Sequence[CollisionData]


def replayed_data(found: Replayed | None) -> ReplayedData | None:
    """What the steps of a plan run into; None where that was not asked."""
    if found is None:
        return None
    collisions = [
        CollisionData.of(one, operation=one.operation.name, state=one.state.word) for one in found.collisions
    ]
    return ReplayedData(moves=found.moves, judged=found.judged, collisions=collisions)
