"""What is in the way of what, as the boxes show it: parts that leave or move, tools, fasteners.

Removability by translation, one way at a time, is a row of the directional blocking graph of Wilson &
Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71 (1994) 371-396: for a
way, an arc from each part to those that a sweep along it runs into. A way is free where the inside of the
part, moved along it to infinity, overlaps the inside of no other (Latombe's course CS 326, Stanford 1998).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from sequencer.graph.geometry.solids import MEASURED_TO_MM, Solid, Solids, units
from sequencer.graph.geometry.sweep import (
    UNITS,
    Ints,
    circle_hits,
    hit_on_a_move,
    hit_on_the_way_out,
    line_hits,
    overlapping,
    touching,
)
from sequencer.machine.frame import WAYS
from sequencer.machine.model import Atom, Joint, Machine, Part

MOST_CLAUSES = 200
"""Combinations that are kept for one part with several ways out; more say nothing to a person."""

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
    def key(self) -> str:
        """The key of the holder under which a file would write the relation."""
        return "trapped_by" if self.move == "off" else "behind"


def see(machine: Machine, room: Solids) -> tuple[Seen, ...]:
    """Every relation that the boxes show, in the order of the file."""
    found: dict[tuple[str, str, tuple[Atom, ...]], Seen] = {}
    for part in machine.parts.values():
        for seen in (*_leaving(part, room), *_moving(part, room), *_reaching(part, room)):
            key = seen.holder, seen.move, seen.any_of
            known = found.get(key)
            hits = tuple(dict.fromkeys((*known.hits, *seen.hits))) if known else seen.hits
            found[key] = Seen(seen.part, seen.joint, seen.move, seen.any_of, hits)
    return tuple(found.values())


def inside_each_other(room: Solids) -> tuple[tuple[str, str], ...]:
    """Pairs of parts whose boxes overlap as they are fitted: too rough to tell which bars which."""
    bodies = list(room.bodies.values())
    return tuple(
        (one.part, other.part)
        for number, one in enumerate(bodies)
        for other in bodies[number + 1 :]
        if _overlap(one, other)
    )


def _overlap(one: Solid, other: Solid) -> bool:
    """Whether any two of their boxes overlap by more than an error of measuring."""
    step = max(1, MOST_PAIRS // len(other.low))
    around = overlapping(one.low, one.high, other.low.min(axis=0)[None], other.high.max(axis=0)[None])[:, 0]
    low, high = one.low[around], one.high[around]
    for n in range(0, len(low), step):
        found = np.argwhere(overlapping(low[n : n + step], high[n : n + step], other.low, other.high))
        if len(found) and not (one.exact and other.exact):
            return True
        most = MEASURED_TO_MM * UNITS
        if any(
            touching(low[n + a], high[n + a], other.low[b], other.high[b], most) is None for a, b in found
        ):
            return True
    return False


def free_ways(part: Part, room: Solids) -> tuple[str, ...]:
    """Those of the part's ways out that nothing bars."""
    return tuple(way for way in part.out if not _on_the_way(room.bodies[part.name], way, room))


def way_of(word: str) -> tuple[int, int]:
    """The axis of a way (0, 1, 2) and its sign."""
    along = [int(step) for step in WAYS[word]]
    axis = next(number for number, step in enumerate(along) if step)
    return axis, along[axis]


def _leaving(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part's way out; with several ways, what has to be clear of each combination."""
    if part.name not in room.bodies or not part.out:
        return
    body = room.bodies[part.name]
    ways = [_on_the_way(body, way, room) for way in part.out]
    if not all(ways):
        return
    if len(ways) == 1:
        yield from (Seen(part.name, None, "off", hit.clears, (hit,)) for hit in ways[0])
        return
    everything = tuple(hit for way in ways for hit in way)
    for clause in _combined([[hit.clears for hit in way] for way in ways]):
        parts = {(atom.part, atom.joint) for atom in clause}
        hits = tuple(hit for hit in everything if any((a.part, a.joint) in parts for a in hit.clears))
        yield Seen(part.name, None, "off", clause, hits)


def _on_the_way(body: Solid, way: str, room: Solids) -> list[Hit]:
    axis, sign = way_of(way)

    def hits(solid: Solid, low: Ints, high: Ints) -> bool:
        return _any(body, low, high, solid, lambda a, b, c, d: hit_on_the_way_out(a, b, c, d, axis, sign))

    return list(_hits("out", way, hits, _others(body.part, None, room)))


def _moving(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars a part from where it goes when it is loosened or moved aside."""
    body = room.bodies.get(part.name)
    if body is None:
        return
    for state, shift in body.moved.items():

        def hits(solid: Solid, low: Ints, high: Ints, shift: tuple[int, int, int] = shift) -> bool:
            return _any(body, low, high, solid, lambda a, b, c, d: hit_on_a_move(a, b, c, d, shift))

        for hit in _hits(state.word, "", hits, _others(part.name, None, room)):
            yield Seen(part.name, None, state.word, hit.clears, (hit,))


def _any(body: Solid, low: Ints, high: Ints, solid: Solid, test: Test) -> bool:
    """Whether any box hits any other; see ``runs_into``, with ``body`` where it is fitted."""
    return runs_into(body, body.low, body.high, solid, low, high, test)


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


def _reaching(part: Part, room: Solids) -> Iterator[Seen]:
    """What bars the tools and fasteners of a part's joints.

    What is moved aside from one of them must not come to lie over another: both are undone in the same job.
    """
    every = [hits for joint in part.joints.values() for _, hits in tests_at(joint)]
    for joint in part.joints.values():
        others = _others(part.name, joint.name, room)
        for what, hits in tests_at(joint):
            for hit in _hits(what, joint.axis or "", hits, others, part.name, every):
                yield Seen(part.name, joint.name, "undo", hit.clears, (hit,))


def tests_at(joint: Joint) -> Iterator[tuple[str, Hits]]:
    """What is tried at each fastener of a joint: the tool's way in, its own way out, the handle's turn."""
    if joint.axis is None:
        return
    axis, sign = way_of(joint.axis)
    for spot in (units(point) for point in joint.spots):
        for what, length in (("reach", joint.reach), ("draw", joint.draw)):
            if length is not None:
                yield what, _line(spot, axis, sign, length * UNITS)
        if joint.swing is not None:
            along = Fraction(spot[axis] + sign * (joint.reach or 0) * UNITS)
            yield "swing", _circle(spot, axis, along, joint.swing * UNITS)


def _line(spot: tuple[int, int, int], axis: int, sign: int, length: Fraction) -> Hits:
    return lambda _, low, high: bool(line_hits(spot, axis, sign, length, low, high).any())


def _circle(spot: tuple[int, int, int], axis: int, along: Fraction, radius: Fraction) -> Hits:
    about = (axis + 1) % 3, (axis + 2) % 3, axis
    centre = spot[about[0]], spot[about[1]], along
    return lambda _, low, high: bool(circle_hits(centre, about, radius, low, high).any())


def _others(part: str, joint: str | None, room: Solids) -> list[Solid]:
    """What may be in the way of a part or of a joint of it: its own body never is, its other joints are."""
    return [
        solid
        for solid in room.all
        if solid.part != part or (joint is not None and solid.joint not in (None, joint))
    ]


def _hits(
    what: str,
    way: str,
    hits: Hits,
    others: Iterable[Solid],
    own: str | None = None,
    besides: Sequence[Hits] = (),
) -> Iterator[Hit]:
    """What a test hits. Where a part moves to must be out of the way of all the tests ``besides`` too."""
    for solid in others:
        if not hits(solid, solid.low, solid.high):
            continue
        moves = solid.moved if solid.part != own else ()  # a part takes its own joints along
        tests = (hits, *besides)
        aside = [state for state in moves if not any(one(solid, *solid.at(state)) for one in tests)]
        clears = [Atom(solid.part, min(aside))] if aside else []
        if solid.joint is not None or not aside:
            clears = [solid.gone, *clears]
        yield Hit(what, way, solid.path, tuple(clears))


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
