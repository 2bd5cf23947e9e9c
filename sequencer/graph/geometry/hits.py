"""What is in the way of one move, as values; what is common to parts that move and tools that reach."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sequencer.graph.geometry.solids import MEASURED_TO_MM, Solid, Solids
from sequencer.graph.geometry.sweep import UNITS, Ints, overlapping, touching
from sequencer.machine.model import Atom
from sequencer.machine.relations import Relation, barring

MOST_CLAUSES = 200
"""Combinations that are kept for one part with several ways out; more say nothing to a person."""

NOWHERE = (0, 0, 0)
"""So far from where it is fitted."""

MOST_PAIRS = 1_000_000
"""Pairs of boxes that are tried at once."""

Test = Callable[[Ints, Ints, Ints, Ints], npt.NDArray[np.bool_]]
"""Which of some boxes, on their way, hit which of some others."""

Hits = Callable[[Solid, Ints, Ints], bool]
"""Whether something, which now has its boxes there, is in the way."""


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


def runs_into(
    body: Solid, at_low: Ints, at_high: Ints, solid: Solid, low: Ints, high: Ints, test: Test
) -> bool:
    """Whether any box of ``body`` hits any of ``solid``; each with its boxes as they are now.

    Pairs that overlap as fitted only touch where the overlap is an error of measuring; where it is deeper,
    they are too rough to tell. Shapes from files have thousands of boxes: those that miss the box around all
    the others are left out first, and the rest is tried in pieces.
    """
    ours = np.flatnonzero(test(at_low, at_high, low.min(axis=0)[None], high.max(axis=0)[None])[:, 0])
    if not len(ours):
        return False
    around = at_low[ours].min(axis=0)[None], at_high[ours].max(axis=0)[None]
    theirs = np.flatnonzero(test(*around, low, high)[0])
    step = max(1, MOST_PAIRS // max(1, len(theirs)))
    for start in range(0, len(ours), step):
        some = ours[start : start + step]
        hit = test(at_low[some], at_high[some], low[theirs], high[theirs])
        fitted = overlapping(body.low[some], body.high[some], solid.low[theirs], solid.high[theirs])
        if (hit & ~fitted).any():
            return True
        if body.exact and solid.exact:
            for one, other in np.argwhere(hit & fitted):
                mine, its = some[one], theirs[other]
                if _touching_hit(body, at_low[mine], at_high[mine], solid, low[its], test, (mine, its)):
                    return True
    return False


def moving(bodies: Sequence[Solid], at: tuple[int, int, int], test: Test) -> Hits:
    """Whether any of some bodies, that have been moved so far from where they are fitted, hits a thing."""
    by = np.array(at, dtype=np.int64)
    return lambda solid, low, high: any(
        runs_into(body, body.low + by, body.high + by, solid, low, high, test) for body in bodies
    )


def _touching_hit(
    body: Solid, at_low: Ints, at_high: Ints, solid: Solid, low: Ints, test: Test, pair: tuple[int, int]
) -> bool:
    """Whether a pair of boxes that touch as fitted hit each other; no, where they overlap deeply."""
    one, other = pair
    cut = touching(body.low[one], body.high[one], solid.low[other], solid.high[other], MEASURED_TO_MM * UNITS)
    if cut is None:
        return False
    shift = low - solid.low[other]
    return bool(test(at_low[None], at_high[None], (cut[0] + shift)[None], (cut[1] + shift)[None])[0, 0])


@dataclass(frozen=True)
class Trial:
    """One thing that is tried as fitted: whether it hits something, and the box that it stays in."""

    what: str
    way: str
    low: Ints
    high: Ints
    hits: Hits


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
        if not trial.hits(solid, solid.low, solid.high):
            continue
        moves = solid.moved if solid.part != part else ()  # a part takes its own joints along
        trials = (trial, *besides)
        aside = [state for state in moves if not any(one.hits(solid, *solid.at(state)) for one in trials)]
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
