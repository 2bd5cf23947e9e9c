"""An order of work played through against the shapes: each move and each tool, where things are by then.

A scan asks what is in the way as fitted. What has been moved aside by a step lies somewhere else at the next
one, and may lie in its way there: only playing the order shows it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import chain

from sequencer.graph.geometry.against_file import answers, own_needs
from sequencer.graph.geometry.exits import Exit, in_two_legs, straight
from sequencer.graph.geometry.hits import Hits, moving
from sequencer.graph.geometry.reaching import barred_arcs, is_shut, trials_at
from sequencer.graph.geometry.solids import NOWHERE, Solid, Solids
from sequencer.graph.geometry.sweep import Shift, less
from sequencer.graph.geometry.tilts import tilted
from sequencer.graph.geometry.tooling import handles
from sequencer.graph.operations import REACHES, Kind, Operation
from sequencer.machine.model import Joint, Machine, Part, State

_AT_JOINTS = {
    Kind.UNDO: ("reach", "draw"),
    Kind.FASTEN: ("reach", "draw"),
    **dict.fromkeys((Kind.CRACK, Kind.SLACKEN, Kind.TIGHTEN, Kind.TORQUE, Kind.RETIGHTEN), ("reach",)),
}
"""What of a fastener's room a step needs: it comes out, or goes in, or is only turned."""

_BACK = {Kind.FIT, Kind.MOVE_BACK, Kind.SEAT}


@dataclass(frozen=True)
class Collision:
    """A step that runs into something where that lies by then.

    Attributes:
        step: Its number among the operations that are told; ``operation`` is what it does.
        what: ``out``, ``loose``, ``aside`` (a part moves), ``reach``, ``swing``, ``draw`` (at a joint).
        way: The way along the axes; empty for a part that moves so far.
        obstacle: ``part`` or ``part/joint``.
        state: Where the obstacle's part is by then.
    """

    step: int
    operation: Operation
    what: str
    way: str
    obstacle: str
    state: State


@dataclass(frozen=True)
class Replayed:
    """What came of it; ``judged`` of ``moves`` steps have the shapes to tell.

    ``shut`` are the steps, by number, at which the part's own body bars the tool, whatever else is off.
    """

    collisions: tuple[Collision, ...]
    judged: int
    moves: int
    shut: tuple[tuple[int, Operation], ...] = ()


def replayed(machine: Machine, room: Solids, operations: Iterable[Operation], told_from: int = 0) -> Replayed:
    """Play an order of work, of one way or of both after each other, from the machine as it is fitted.

    What the first ``told_from`` operations run into is not told: they only lead up to the others.
    """
    bench = _Bench(machine, room)
    found: list[Collision] = []
    judged = moves = 0
    for number, operation in enumerate(operations):
        if operation.kind not in _AT_JOINTS and operation.kind not in REACHES and operation.kind not in _BACK:
            continue
        if number >= told_from:
            moves += 1
            bench.step = number - told_from + 1
            hits = bench.hits(operation)
            judged += hits is not None
            found += hits or ()
        bench.do(operation)
    return Replayed(tuple(found), judged, moves, tuple(bench.shut))


class _Bench:
    """Where everything is at some step of the work."""

    def __init__(self, machine: Machine, room: Solids) -> None:
        self.machine, self.room = machine, room
        self.states = dict.fromkeys(machine.parts, State.FITTED)
        self.undone: set[str] = set()
        self.shut: list[tuple[int, Operation]] = []
        self.step = 0

    def do(self, operation: Operation) -> None:
        """Take in that a step is done."""
        if operation.part is not None and operation.kind in REACHES:
            self.states[operation.part] = REACHES[operation.kind]
        elif operation.part is not None and operation.kind in _BACK:
            self.states[operation.part] = State.FITTED
        elif operation.kind is Kind.UNDO:
            self.undone.add(operation.subject)
        elif operation.kind is Kind.FASTEN:
            self.undone.discard(operation.subject)

    def hits(self, operation: Operation) -> list[Collision] | None:
        """What a step runs into; None where the shapes can't tell."""
        part = self.machine.parts.get(operation.part or "")
        if part is None:
            return None
        if operation.kind in _AT_JOINTS and operation.joint is not None:
            return self._at_joint(operation, part, part.joints[operation.joint])
        return self._on_the_move(operation, part)

    def _at_joint(self, operation: Operation, part: Part, joint: Joint) -> list[Collision] | None:
        shut = is_shut(part, joint, self.room)
        wanted = [what for what in _AT_JOINTS[operation.kind] if not (shut and what == "reach")]
        tests = [(one.what, one.hits) for one in trials_at(joint, self.room) if one.what in wanted]
        shift = self._shift(part.name)
        turned = tuple(handles(joint))
        if shift is None or not (tests or turned or shut):
            return None
        if shut:  # whatever else is in the way of that tool too: it is another that is needed
            self.shut.append((self.step, operation))
        others = [
            one for one in self.room.all if one.part != part.name or one.joint not in (None, joint.name)
        ]
        found: dict[str, Collision] = {}  # each thing once, by what it is met with first
        for what, hits in tests:
            for solid in self._met(others, _past(hits, shift), [part.name], joint.name):
                found.setdefault(solid.path, self._said(operation, what, joint.axis or "", solid))
        excused = self._by_word([part.name], joint.name)
        there = [
            (one, less(moved, shift))
            for one in others
            if (moved := self._there(one)) is not None and not excused(one)
        ]
        for handle in turned:
            for solid in next(iter(barred_arcs(handle, there)), ()):
                found.setdefault(solid.path, self._said(operation, "swing", joint.axis or "", solid))
        return list(found.values())

    def _on_the_move(self, operation: Operation, part: Part) -> list[Collision] | None:
        group = {part.name, *(one for one in self.machine.parts if part.name in self.machine.carriers(one))}
        bodies = [self.room.bodies[name] for name in sorted(group) if name in self.room.bodies]
        others = [one for one in self.room.all if one.part not in group]
        if part.name not in self.room.bodies:
            return None
        if operation.kind in (Kind.REMOVE, Kind.FIT):
            at = self._shift(part.name) if operation.kind is Kind.REMOVE else NOWHERE
            if at is None or not part.out:
                return None
            return self._leaving(operation, part, bodies, others, at)
        state = REACHES.get(operation.kind, self.states[part.name])
        at = NOWHERE if operation.kind in _BACK else self._shift(part.name)
        if at is None or self._moved(part.name, state) is None:
            return None
        found: dict[str, Collision] = {}
        for stop in self.room.bodies[part.name].stops(state):  # on the way back the same, from its end
            move = moving(bodies, at, less(stop, at), self.room)
            for solid in self._met(others, move, group):
                found.setdefault(solid.path, self._said(operation, state.word, "", solid))
            at = stop
        return list(found.values())

    def _leaving(
        self,
        operation: Operation,
        part: Part,
        bodies: list[Solid],
        others: list[Solid],
        at: Shift,
    ) -> list[Collision]:
        movers = [one.part for one in bodies]
        found: list[Collision] = []
        ways = straight(part, self.room.bodies[part.name], self.room)
        for way in ways:
            met = self._met_on(way, others, bodies, at, movers)
            if not met:
                return []
            found += [self._said(operation, "out", way.words, solid) for solid in met]
        now = self._as_it_lies(others, movers)
        roundabout = chain(in_two_legs(bodies, part, now, ways, at), tilted(bodies, part, now, ways, at))
        if any(not hits for _, hits in roundabout):
            return []
        return found

    def _met_on(
        self, way: Exit, others: list[Solid], bodies: list[Solid], at: Shift, movers: list[str]
    ) -> list[Solid]:
        found: dict[str, Solid] = {}
        for leg in way.legs:
            for solid in self._met(others, moving(bodies, at, leg, self.room), movers):
                found.setdefault(solid.path, solid)
            at = at[0] + leg[0], at[1] + leg[1], at[2] + leg[2]
        return list(found.values())

    def _as_it_lies(self, others: list[Solid], movers: list[str]) -> Solids:
        """The room of what is in nobody's hands, each thing where it is by now."""
        excused = self._by_word(movers, None)
        there = [
            one.moved_by(by) for one in others if not excused(one) and (by := self._there(one)) is not None
        ]
        return replace(
            self.room,
            bodies={one.path: one for one in there if one.joint is None},
            joints={one.path: one for one in there if one.joint is not None},
        )

    def _said(self, operation: Operation, what: str, way: str, solid: Solid) -> Collision:
        return Collision(self.step, operation, what, way, solid.path, self.states[solid.part])

    def _met(
        self, others: Iterable[Solid], hits: Hits, movers: Iterable[str], joint: str | None = None
    ) -> Iterator[Solid]:
        excused = self._by_word(movers, joint)
        for solid in others:
            moved = self._there(solid)
            if moved is not None and not excused(solid) and hits(solid, moved):
                yield solid

    def _by_word(self, movers: Iterable[str], joint: str | None) -> Callable[[Solid], bool]:
        """What is out of the way by its author's word, where boxes can't know: a hose with one end undone."""
        found = [
            (atom, len(need.any_of) == 1)
            for name in movers
            for need in own_needs(self.machine, name, joint)
            for atom in need.any_of
            if atom.joint is not None and f"{atom.part}/{atom.joint}" in self.undone
        ]
        return lambda solid: any(
            answers(self.machine, self.room, atom, solid.gone, alone) for atom, alone in found
        )

    def _there(self, solid: Solid) -> Shift | None:
        """How far something has moved by now; None where it is gone, or nobody has said where it went."""
        if solid.joint is not None and solid.path in self.undone:
            return None
        return self._shift(solid.part)

    def _shift(self, part: str) -> Shift | None:
        """How far a part has moved by now; None where it is off, or nobody has said where it went."""
        if any(self.states[one] is State.OFF for one in self.machine.carriers(part)):
            return None
        return self._moved(part, self.states[part])

    def _moved(self, part: str, state: State) -> Shift | None:
        if state is State.FITTED:
            return NOWHERE
        body = self.room.bodies.get(part)
        return None if body is None else body.moved.get(state)


def _past(hits: Hits, shift: Shift) -> Hits:
    """A test at a part that has moved: all else has moved the other way."""
    return lambda solid, moved: hits(solid, less(moved, shift))
