"""The room that parts and joints take, as boxes of whole units or skins, and where they are once moved."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from sequencer.graph.geometry.planes import Floats
from sequencer.graph.geometry.shapes import Shape
from sequencer.graph.geometry.sweep import UNITS, Corners, Ints, Shift
from sequencer.machine.facts.frame import Box, Vector
from sequencer.machine.model import Atom, Freedom, Machine, Part, State, Tool

Moved = tuple[str, State]
"""A part in a state short of off."""

TOLERANCE_MM = 0.1
"""How far shapes from files may overlap across a way and still slide, unless something else is asked for."""


NOWHERE = (0, 0, 0)
"""So far from where it is fitted."""


def units(point: Vector) -> Shift:
    """A point of the frame in whole units; nothing is lost, since a file writes at most six decimals."""
    x, y, z = (int(along * UNITS) for along in point)
    return x, y, z


MEASURED_TO_MM = 10
"""How far boxes that were measured with a tape may overlap and still only touch (common practice)."""


@dataclass(frozen=True)
class Solid:
    """What may be in the way: a part's body, or (with ``joint``) what a joint takes as long as it is done up.

    Attributes:
        low: The low corners of its boxes, in units, one row each; ``high`` the other ones.
        moved: How far it has moved in each state that it can be in short of off, where the file says so.
        via: Where it comes past on its way into each of them.
        unsaid: The states short of off of which the file doesn't say where it goes.
        shape: Its skin, where it is from a file and no box; its one box is then the one around it.
    """

    part: str
    joint: str | None
    low: Ints
    high: Ints
    moved: Mapping[State, Shift] = field(default_factory=dict)
    via: Mapping[State, tuple[Shift, ...]] = field(default_factory=dict)
    unsaid: tuple[State, ...] = ()
    shape: Shape | None = None

    @property
    def path(self) -> str:
        """As the file names it: ``part``, or ``part/joint``."""
        return self.part if self.joint is None else f"{self.part}/{self.joint}"

    @property
    def gone(self) -> Atom:
        """What takes it out of every way: the part off, the joint undone."""
        return Atom(self.part, State.OFF, self.joint)

    @cached_property
    def corners(self) -> tuple[Corners, ...]:
        """The low and the high corner of each of its boxes, in plain numbers."""
        return tuple(zip(self.low.tolist(), self.high.tolist(), strict=True))

    @cached_property
    def around(self) -> Corners:
        """The corners of the box around it."""
        return self.low.min(axis=0).tolist(), self.high.max(axis=0).tolist()

    @cached_property
    def skin(self) -> Shape:
        """Its skin; of boxes too."""
        return self.shape or Shape.of_boxes(self.low / UNITS, self.high / UNITS)

    def stops(self, state: State) -> tuple[Shift, ...]:
        """Where it comes past on its way into a state, that itself last; each from where it is fitted."""
        return (*self.via.get(state, ()), self.moved[state])

    def moved_by(self, shift: Shift) -> Solid:
        """The same, fitted so far from where it was."""
        low, high = self.boxes(shift)
        by = np.array(shift) / UNITS
        skin = self.shape and Shape(self.shape.triangles + by, self.shape.corners)
        return replace(self, low=low, high=high, shape=skin) if any(shift) else self

    def boxes(self, shift: Shift) -> tuple[Ints, Ints]:
        """Its boxes once it has moved so far."""
        by = np.array(shift, dtype=np.int64)
        return self.low + by, self.high + by


@dataclass(frozen=True)
class Solids:
    """All that a machine file gives room to.

    Attributes:
        bodies: The parts' own room, by part.
        joints: The room of joints, by ``part/joint``.
        tools: The tools, by name.
        tolerance_mm: How far shapes may overlap across a way and still slide.
    """

    bodies: Mapping[str, Solid]
    joints: Mapping[str, Solid]
    tools: Mapping[str, Tool]
    tolerance_mm: float = TOLERANCE_MM

    @cached_property
    def all(self) -> tuple[Solid, ...]:
        """Bodies first, each kind in the order of the file."""
        return (*self.bodies.values(), *self.joints.values())

    @property
    def shapes(self) -> dict[str, Shape]:
        """The skins that were read from files, by part."""
        return {name: body.shape for name, body in self.bodies.items() if body.shape is not None}

    @cached_property
    def _around(self) -> tuple[Ints, Ints]:
        """The box around each of them."""
        corners = [solid.around for solid in self.all]
        low, high = np.array(corners, dtype=np.int64).reshape(-1, 2, 3).transpose(1, 0, 2)
        return low, high

    def near(self, low: Ints, high: Ints) -> list[Solid]:
        """Those of which the box around them, as fitted, overlaps the one with these two corners."""
        lows, highs = self._around
        there = ((lows < high) & (low < highs)).all(axis=1)
        return [self.all[number] for number in np.flatnonzero(there)]


def solids(machine: Machine, tolerance_mm: float = TOLERANCE_MM) -> Solids:
    """The room that the parts and joints of ``machine`` take.

    Raises:
        SequencerError: A shape can't be read (see ``shape_of_mesh``), or is out of proportion.
    """
    bodies: dict[str, Solid] = {}
    joints: dict[str, Solid] = {}
    for part in machine.parts.values():
        moved, via, unsaid = _moves(part)
        if part.mesh is not None:
            from sequencer.graph.geometry.meshes import shape_of_mesh

            shape, plain = shape_of_mesh(Path(machine.file).parent, part.mesh, tolerance_mm, part.place)
            low, high = (_rounded(corner)[None] for corner in (shape.low, shape.high))
            bodies[part.name] = Solid(
                part.name, None, low, high, moved, via, unsaid, shape=None if plain else shape
            )
        elif part.boxes:
            bodies[part.name] = Solid(part.name, None, *_corners(part.boxes), moved, via, unsaid)
        for joint in part.joints.values():
            if joint.boxes:
                joints[joint.path] = Solid(part.name, joint.name, *_corners(joint.boxes), moved, via, unsaid)
    if any(part.mesh is not None for part in machine.parts.values()):
        from sequencer.graph.geometry.meshes import check_proportions

        check_proportions(machine, {name: solid.around for name, solid in bodies.items()})
    return Solids(bodies, joints, machine.tools, tolerance_mm)


def without(room: Solids, barred: Collection[Moved]) -> Solids:
    """The same room, where nobody has said where parts go in the states ``barred``."""
    if not barred:
        return room

    def less(solid: Solid) -> Solid:
        moved = {state: by for state, by in solid.moved.items() if (solid.part, state) not in barred}
        return replace(
            solid, moved=moved, unsaid=(*solid.unsaid, *(s for s in solid.moved if s not in moved))
        )

    bodies = {name: less(solid) for name, solid in room.bodies.items()}
    return replace(room, bodies=bodies, joints={path: less(solid) for path, solid in room.joints.items()})


def _rounded(corner: Floats) -> Ints:
    """Millimetres as units, rounded to a thousandth of a millimetre: what a mesh file can mean."""
    return np.asarray(np.rint(corner * 1000).astype(np.int64) * (UNITS // 1000))


def _corners(boxes: Iterable[Box]) -> tuple[Ints, Ints]:
    boxes = tuple(boxes)
    low = np.array([units(box.at) for box in boxes], dtype=np.int64)
    return low, np.array([units(box.end) for box in boxes], dtype=np.int64)


def _moves(
    part: Part,
) -> tuple[dict[State, Shift], dict[State, tuple[Shift, ...]], tuple[State, ...]]:
    given: dict[State, Freedom | None] = {State.LOOSE: part.loose, State.ASIDE: part.aside}
    moved = {state: units(one.by) for state, one in given.items() if one is not None and one.by is not None}
    via = {state: tuple(map(units, one.via)) for state, one in given.items() if one is not None and one.via}
    return moved, via, tuple(state for state, one in given.items() if one is not None and one.by is None)
