"""A shape from a file as many small boxes around its skin.

Each triangle is cut until no edge is longer than a third of the tolerance; the pieces are gathered in cells
of that size, and each cell's pieces get the box around them. So nothing of the skin is missed, and no point
of a box is farther than the tolerance from the skin along any axis; faces that lie along the axes come out
exact. The inside stays empty: whatever moves in or out has to cross the skin. A shape that fills the box
around it is that box.

glTF is in metres (Khronos, glTF 2.0 specification, 3.4, "Coordinate System and Units"); STL and OBJ have no
unit, and are taken for millimetres unless the machine file says another.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from sequencer.errors import SequencerError
from sequencer.graph.geometry.sweep import UNITS, Ints
from sequencer.machine.frame import UNITS_OF_LENGTH, Mesh
from sequencer.machine.model import Place

if TYPE_CHECKING:
    import trimesh

MOST_PIECES = 400_000
"""A finer cut of one shape takes minutes and memory; what is larger is cut less finely, and that is said."""

MM = dict(zip(UNITS_OF_LENGTH, (1.0, 10.0, 1000.0, 25.4), strict=True))
SMALLEST_MM, LARGEST_MM = 2.0, 20_000.0
"""Between these is the longest side of any part; beyond them the unit is wrong (common practice)."""


MOST_FROM_NOUGHT_MM = 100_000
"""What whole units of 64 bits hold with room to spare."""


@dataclass(frozen=True)
class Skin:
    """A shape as boxes: their low and high corners in units, and how closely they follow it, in mm."""

    low: Ints
    high: Ints
    tolerance_mm: float


def boxes_of_mesh(folder: Path, mesh: Mesh, tolerance_mm: float, place: Place) -> Skin:
    """The boxes around the skin of ``mesh``, whose file lies in ``folder`` or below it.

    Raises:
        SequencerError: trimesh is not there, or the file can't be read, has no skin or no body of that name,
            or is of a size that no part has.
    """
    where = f"{place}:{place.column}"
    triangles, plain = _triangles(folder / mesh.file, mesh, where)
    if plain:
        corners = triangles.reshape(-1, 3)
        return Skin(_units(corners.min(axis=0)[None]), _units(corners.max(axis=0)[None]), 0.0)
    sides = triangles[:, [1, 2, 0]] - triangles
    area = float(np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1).sum()) / 2
    third = max(tolerance_mm / 3, (4 * area / MOST_PIECES) ** 0.5)
    pieces = _cut(triangles, third)
    low, high = pieces.min(axis=1), pieces.max(axis=1)
    cells = np.floor(pieces.mean(axis=1) / third).astype(np.int64)
    cells -= cells.min(axis=0)
    _, wide, tall = cells.max(axis=0) + 1
    order = np.argsort(number := (cells[:, 0] * wide + cells[:, 1]) * tall + cells[:, 2], kind="stable")
    first = np.flatnonzero(np.diff(number[order], prepend=-1))
    least, most = np.minimum.reduceat(low[order], first), np.maximum.reduceat(high[order], first)
    return Skin(_units(least), _units(most), third * 3)


def _units(corners: np.ndarray) -> Ints:
    """Millimetres as units, rounded to a thousandth of a millimetre: what a mesh file can mean."""
    return np.asarray(np.rint(corners * 1000).astype(np.int64) * (UNITS // 1000))


def _triangles(path: Path, mesh: Mesh, where: str) -> tuple[np.ndarray, bool]:
    """The triangles of a shape's skin in millimetres, and whether it fills the box around it."""
    try:
        import trimesh
    except ImportError:
        raise SequencerError(
            f"{where}: {path.name} can't be read without the package trimesh",
            "install it: pip install 'sequencer[mesh]', or give the part a box",
        ) from None
    try:
        scene = trimesh.load_scene(path, split_objects=True)  # by its names, where an .obj has some
        unit = mesh.unit or ("m" if scene.units == "meters" else "mm")
        bodies = {name: _placed(scene, name) for name in scene.graph.nodes_geometry}
    except Exception as why:  # whatever a reader of foreign files runs into
        reason = " ".join(str(why).split())[:80] or type(why).__name__
        raise SequencerError(f"{where}: {path.name} can't be read: {reason}", "export it anew") from why
    if mesh.body is not None and mesh.body not in bodies:
        names = ", ".join(sorted(bodies)) or "none"
        raise SequencerError(
            f"{where}: {path.name} has no body {mesh.body!r}", f"its bodies are: {names}"[:300]
        )
    skins = [bodies[mesh.body]] if mesh.body is not None else list(bodies.values())
    triangles = np.concatenate([np.zeros((0, 3, 3)), *(skin.triangles for skin in skins)]) * MM[unit]
    _check_size(triangles, unit, f"{where}: {path.name}")
    corners = triangles.reshape(-1, 3)
    room = float(np.prod(corners.max(axis=0) - corners.min(axis=0)))
    return triangles, len(skins) == 1 and bool(
        skins[0].is_watertight and abs(skins[0].volume * MM[unit] ** 3 - room) <= room * 1e-9
    )


def _placed(scene: trimesh.Scene, name: str) -> trimesh.Trimesh:
    """The body of that name where its scene puts it."""
    by, body = scene.graph[name]
    return scene.geometry[body].copy().apply_transform(by)  # type: ignore[no-any-return]


def _check_size(triangles: np.ndarray, unit: str, what: str) -> None:
    """See to it that a shape has a skin, and a size that a part can have."""
    if not len(triangles) or not np.isfinite(triangles).all():
        raise SequencerError(f"{what} has no skin", "export it anew")
    corners = triangles.reshape(-1, 3)
    longest = float((corners.max(axis=0) - corners.min(axis=0)).max())
    if not SMALLEST_MM <= longest <= LARGEST_MM:
        raise SequencerError(
            f"{what} is {longest:.3g} mm long, read in {unit}: no part is",
            f"say the unit that it was drawn in: mesh_unit: {' or '.join(one for one in MM if one != unit)}",
        )
    if np.abs(corners).max() > MOST_FROM_NOUGHT_MM:
        raise SequencerError(f"{what} lies farther than 100 m from nought", "export it where it is fitted")


def _cut(triangles: np.ndarray, longest: float) -> np.ndarray:
    """The triangles in pieces with no edge beyond ``longest``: halved across the longest edge until so."""
    done, pending = [], triangles
    while len(pending):
        edges = np.linalg.norm(pending[:, [1, 2, 0]] - pending, axis=2)
        small = edges.max(axis=1) <= longest
        done.append(pending[small])
        pending, edges = pending[~small], edges[~small]
        turn = edges.argmax(axis=1)[:, None]
        rows = np.arange(len(pending))[:, None]
        a, b, c = (pending[rows, (turn + step) % 3][:, 0] for step in range(3))
        middle = (a + b) / 2
        pending = np.concatenate([np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)])
    return np.concatenate(done)
