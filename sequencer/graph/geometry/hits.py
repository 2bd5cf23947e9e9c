"""What is in the way of one move, as values; what is common to parts that move and tools that reach."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sequencer.graph.geometry.solids import MEASURED_TO_MM, NOWHERE, Solid, Solids
from sequencer.graph.geometry.sweep import (
    ENDLESS,
    UNITS,
    Corners,
    Ints,
    Shift,
    hit_on_a_move,
    less,
    met_on_a_move,
    touching,
)
from sequencer.machine.model import Atom
from sequencer.machine.trade.relations import Relation, barring

MOST_CLAUSES = 200
"""Combinations that are kept for one part with several ways out; more say nothing to a person."""

MOST_PAIRS = 1_000_000
"""Pairs of boxes that are tried at once."""

Hits = Callable[[Solid, Shift], bool]
"""Whether something, which has moved so far from where it is fitted, is in the way."""


@dataclass(frozen=True)
class Hit:
    """One thing in the way of one move.

    Attributes:
        what: ``out``, ``loose``, ``aside`` (a part moves), ``reach``, ``swing``, ``draw`` (at a joint).
        way: The way along the axes; for ``loose`` and ``aside`` empty.
        obstacle: What is in the way, ``part`` or ``part/joint``.
        clears: What would take it out of this way, the least of its part first; one of them is enough.
        rider: The part that rides along and runs into it, where what it rides on does not; else empty.
        leg: Of a way in several legs the one on which it is met, along the axes; of others the way itself.
    """

    what: str
    way: str
    obstacle: str
    clears: tuple[Atom, ...]
    rider: str = ""
    leg: str = ""


@dataclass(frozen=True)
class Seen:
    """A relation that the boxes show: ``part`` (or its ``joint``) waits until one of ``any_of`` is clear.

    Attributes:
        move: What waits: ``off``, ``loose`` or ``aside`` of the part, ``undo`` of the joint.
        hits: What was hit; with several ways out, what bars each of them.
    """

    part: str
    joint: str | None
    move: str
    any_of: tuple[Atom, ...]
    hits: tuple[Hit, ...]

    @property
    def holder(self) -> str:
        """As the file names it: ``part``, or ``part/joint``."""
        return self.part if self.joint is None else f"{self.part}/{self.joint}"

    @property
    def relation(self) -> Relation:
        """The relation of the holder that a file would write it as."""
        return barring(self.move)

    @property
    def key(self) -> str:
        """The key of that."""
        return self.relation.key


def moving(bodies: Sequence[Solid], at: Shift, leg: Shift, room: Solids) -> Hits:
    """Whether some bodies, moved so far from where they are fitted, hit a thing on one straight leg on."""
    return lambda solid, shift: any(_runs_into(body, at, leg, solid, shift, room) for body in bodies)


def _runs_into(body: Solid, at: Shift, leg: Shift, solid: Solid, shift: Shift, room: Solids) -> bool:
    apart = less(at, shift)
    if body.shape is None and solid.shape is None:
        return any(
            _box_runs_into(body.corners[one], apart, solid.corners[other], leg)
            for one, other in _pairs(body, apart, solid, leg)
        )
    low, high = solid.around
    near = [one - _NEAR for one in low], [one + _NEAR for one in high]
    if not met_on_a_move(_so_far(body.around, apart), near, leg):
        return False
    from sequencer.graph.geometry.meeting import stopped

    by = np.array(leg) / UNITS
    length = float(np.linalg.norm(by))
    x, y, z = (float(along) for along in by / length) if length else (0.0, 0.0, 1.0)
    endless = max(map(abs, leg)) >= ENDLESS
    return stopped(
        body.skin,
        solid.skin,
        (x, y, z),
        math.inf if endless else length,
        np.array(apart) / UNITS,
        room.tolerance_mm,
    )


_NEAR = int(0.01 * UNITS)
"""The boxes around shapes are rounded: so far beyond them nothing is left out."""


def _pairs(body: Solid, apart: Shift, solid: Solid, leg: Shift) -> Iterator[tuple[int, int]]:
    """The boxes of a body, so far from where it is fitted, that hit one of another on a leg, by number.

    Of bodies of many boxes, those that miss the box around all the others are left out first, and the rest
    is tried in pieces.
    """
    if len(body.low) == len(solid.low) == 1:
        yield 0, 0
        return
    low, high = body.boxes(apart)
    least, most = (np.array(corner, dtype=np.int64)[None] for corner in solid.around)
    ours = np.flatnonzero(hit_on_a_move(low, high, least, most, leg)[:, 0])
    if not len(ours):
        return
    around = low[ours].min(axis=0)[None], high[ours].max(axis=0)[None]
    theirs = np.flatnonzero(hit_on_a_move(*around, solid.low, solid.high, leg)[0])
    step = max(1, MOST_PAIRS // max(1, len(theirs)))
    for start in range(0, len(ours), step):
        some = ours[start : start + step]
        hit = hit_on_a_move(low[some], high[some], solid.low[theirs], solid.high[theirs], leg)
        yield from ((int(some[one]), int(theirs[other])) for one, other in np.argwhere(hit))


def _box_runs_into(mine: Corners, apart: Shift, its: Corners, leg: Shift) -> bool:
    """Whether a box, so far from where it is fitted, hits another.

    A pair that overlaps as fitted only touches where that is an error of measuring; where it is deeper, the
    boxes are too rough to tell.
    """
    (low, high), still = mine, its
    if all(low[n] < its[1][n] and its[0][n] < high[n] for n in range(3)):
        cut = touching(mine, its, MEASURED_TO_MM * UNITS)
        if cut is None:
            return False
        still = cut
    return met_on_a_move(_so_far(mine, apart), still, leg)


def _so_far(box: Corners, apart: Shift) -> Corners:
    (a, b, c), (d, e, f) = box
    x, y, z = apart
    return (a + x, b + y, c + z), (d + x, e + y, f + z)


@dataclass(frozen=True)
class Trial:
    """One thing that is tried as fitted: whether it hits something, and the box that it stays in.

    ``group`` are the parts that go along, and so are in nobody's way. ``leg`` is the one that is tried,
    where the ``way`` has several.
    """

    what: str
    way: str
    low: Ints
    high: Ints
    hits: Hits
    group: frozenset[str] = frozenset()
    leg: str = ""


def leg_of(what: str, way: str, body: Solid, at: Shift, leg: Shift, room: Solids) -> Trial:
    """One straight leg of a body that has moved so far from where it is fitted."""
    low, high = (np.array(corner, dtype=np.int64) + at for corner in body.around)
    by = np.array(leg, dtype=np.int64)
    around = np.minimum(low, low + by), np.maximum(high, high + by)
    return Trial(what, way, *around, moving((body,), at, leg, room))


def others(part: str, joint: str | None, room: Solids, low: Ints, high: Ints) -> list[Solid]:
    """What may be in the way of a part or a joint of it, near a box: not its body, but its other joints."""
    return [
        solid
        for solid in room.near(low, high)
        if solid.part != part or (joint is not None and solid.joint not in (None, joint))
    ]


def hits_of(
    trial: Trial, part: str, joint: str | None, room: Solids, besides: Sequence[Trial] = ()
) -> Iterator[Hit]:
    """What a trial hits. Where a part moves to must be out of the way of all the trials ``besides`` too."""
    for solid in others(part, joint, room, trial.low, trial.high):
        if solid.part in trial.group or not trial.hits(solid, NOWHERE):
            continue
        moves = solid.moved if solid.part != part else ()  # a part takes its own joints along
        trials = (trial, *besides)
        aside = [state for state in moves if not any(one.hits(solid, solid.moved[state]) for one in trials)]
        clears = [Atom(solid.part, min(aside))] if aside else []
        if solid.joint is not None or not aside:
            clears = [solid.gone, *clears]
        yield Hit(trial.what, trial.way, solid.path, tuple(clears), leg=trial.leg or trial.way)


def _combined(ways: list[list[tuple[Atom, ...]]]) -> list[tuple[Atom, ...]]:
    """What has to be clear so that one way is free: of each way one thing, in all combinations, the least.

    Each thing has a bit, and a combination is a number: a crowd of boxes has a million of them.
    """
    atoms = list(dict.fromkeys(atom for way in ways for some in way for atom in some))
    bit = {atom: 1 << number for number, atom in enumerate(atoms)}
    more = [
        (bit[one], sum(bit[other] for other in atoms if _is_more(other, one)))
        for one in atoms
        if any(_is_more(other, one) for other in atoms)
    ]
    clauses = [0]
    for way in ways:
        bits = [sum(bit[atom] for atom in some) for some in way]
        made = dict.fromkeys(_least(clause | some, more) for clause in clauses for some in bits)
        clauses = []
        for clause in sorted(made, key=int.bit_count):
            if len(clauses) < MOST_CLAUSES and not any(known & clause == known for known in clauses):
                clauses.append(clause)
    return [tuple(atom for atom in atoms if clause & bit[atom]) for clause in clauses]


def _is_more(one: Atom, other: Atom) -> bool:
    """Whether one is the same thing in a state beyond the other's."""
    return (one.part, one.joint) == (other.part, other.joint) and one.state > other.state


def _least(clause: int, more: Sequence[tuple[int, int]]) -> int:
    """Of the states of one part that would do, the lowest; the rest as it is."""
    for one, beyond in more:
        if clause & one:
            clause &= ~beyond
    return clause


def any_way(part: str, joint: str | None, move: str, ways: list[list[Hit]]) -> Iterator[Seen]:
    """What has to be clear so that one of several ways is; nothing, where there is none or one is free."""
    if not ways or not all(ways):
        return
    if len(ways) == 1:
        yield from (Seen(part, joint, move, hit.clears, (hit,)) for hit in ways[0])
        return
    everything = tuple(hit for way in ways for hit in way)
    for clause in _combined([[hit.clears for hit in way] for way in ways]):
        parts = {(atom.part, atom.joint) for atom in clause}
        hits = tuple(hit for hit in everything if any((a.part, a.joint) in parts for a in hit.clears))
        yield Seen(part, joint, move, clause, hits)
