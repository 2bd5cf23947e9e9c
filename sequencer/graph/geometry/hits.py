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
    Ints,
    Shift,
    hit_on_a_move,
    overlapping,
    touching,
)
from sequencer.machine.model import Atom
from sequencer.machine.relations import Relation, barring

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
    """

    what: str
    way: str
    obstacle: str
    clears: tuple[Atom, ...]


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
    low, high = body.boxes(at)
    other_low, other_high = solid.boxes(shift)
    if body.shape is None and solid.shape is None:
        return _boxes_run_into(body, (low, high), solid, (other_low, other_high), leg)
    around = low.min(axis=0)[None], high.max(axis=0)[None]
    others = other_low.min(axis=0)[None] - _NEAR, other_high.max(axis=0)[None] + _NEAR
    if not hit_on_a_move(*around, *others, leg)[0, 0]:
        return False
    from sequencer.graph.geometry.meeting import stopped

    by = np.array(leg) / UNITS
    length = float(np.linalg.norm(by))
    x, y, z = (float(along) for along in by / length) if length else (0.0, 0.0, 1.0)
    apart = (np.array(at) - np.array(shift)) / UNITS
    endless = max(map(abs, leg)) >= ENDLESS
    return stopped(
        body.skin, solid.skin, (x, y, z), math.inf if endless else length, apart, room.tolerance_mm
    )


_NEAR = int(0.01 * UNITS)
"""The boxes around shapes are rounded: so far beyond them nothing is left out."""


def _boxes_run_into(
    body: Solid, at: tuple[Ints, Ints], solid: Solid, there: tuple[Ints, Ints], leg: Shift
) -> bool:
    """Whether any box of ``body`` hits any of ``solid``; each with its boxes as they are now.

    Pairs that overlap as fitted only touch where the overlap is an error of measuring; where it is deeper,
    they are too rough to tell. Bodies of many boxes: those that miss the box around all the others are left
    out first, and the rest is tried in pieces.
    """
    (low, high), (other_low, other_high) = at, there
    every = other_low.min(axis=0)[None], other_high.max(axis=0)[None]
    ours = np.flatnonzero(hit_on_a_move(low, high, *every, leg)[:, 0])
    if not len(ours):
        return False
    around = low[ours].min(axis=0)[None], high[ours].max(axis=0)[None]
    theirs = np.flatnonzero(hit_on_a_move(*around, other_low, other_high, leg)[0])
    step = max(1, MOST_PAIRS // max(1, len(theirs)))
    for start in range(0, len(ours), step):
        some = ours[start : start + step]
        hit = hit_on_a_move(low[some], high[some], other_low[theirs], other_high[theirs], leg)
        fitted = overlapping(body.low[some], body.high[some], solid.low[theirs], solid.high[theirs])
        if (hit & ~fitted).any():
            return True
        for one, other in np.argwhere(hit & fitted):
            mine, its = some[one], theirs[other]
            cut = touching(
                body.low[mine], body.high[mine], solid.low[its], solid.high[its], MEASURED_TO_MM * UNITS
            )
            if cut is not None:
                moved = other_low[its] - solid.low[its]
                cut_there = (cut[0] + moved)[None], (cut[1] + moved)[None]
                if hit_on_a_move(low[mine][None], high[mine][None], *cut_there, leg)[0, 0]:
                    return True
    return False


@dataclass(frozen=True)
class Trial:
    """One thing that is tried as fitted: whether it hits something, and the box that it stays in.

    ``group`` are the parts that go along, and so are in nobody's way.
    """

    what: str
    way: str
    low: Ints
    high: Ints
    hits: Hits
    group: frozenset[str] = frozenset()


def leg_of(what: str, way: str, body: Solid, at: Shift, leg: Shift, room: Solids) -> Trial:
    """One straight leg of a body that has moved so far from where it is fitted."""
    low, high = (corner.reshape(-1, 3) for corner in body.boxes(at))
    low, high, by = low.min(axis=0), high.max(axis=0), np.array(leg, dtype=np.int64)
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
        yield Hit(trial.what, trial.way, solid.path, tuple(clears))


def _combined(ways: list[list[tuple[Atom, ...]]]) -> list[tuple[Atom, ...]]:
    """What has to be clear so that one way is free: of each way one thing, in all combinations, the least."""
    clauses: list[tuple[Atom, ...]] = [()]
    for way in ways:
        made = [_least((*clause, *more)) for clause in clauses for more in way]
        clauses = []
        for clause in sorted(dict.fromkeys(made), key=len):
            if len(clauses) < MOST_CLAUSES and not any(set(known) <= set(clause) for known in clauses):
                clauses.append(clause)
    return clauses


def _least(atoms: tuple[Atom, ...]) -> tuple[Atom, ...]:
    """Of the states of one part that would do, the lowest; the rest as it is."""
    found: dict[tuple[str, str | None], Atom] = {}
    for atom in atoms:
        key = atom.part, atom.joint
        if key not in found or atom.state < found[key].state:
            found[key] = atom
    return tuple(found.values())


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
