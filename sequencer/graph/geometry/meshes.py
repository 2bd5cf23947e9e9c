"""A shape from a file as many small boxes around its skin.

Each triangle is cut until no edge is longer than a third of the tolerance; the pieces are gathered in cells
of that size, and each cell's pieces get the box around them. So nothing of the skin is missed, and no point
of a box is farther than the tolerance from the skin along any axis; faces that lie along the axes come out
exact. The inside stays empty: whatever moves in or out has to cross the skin.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sequencer.errors import SequencerError
from sequencer.graph.geometry.sweep import UNITS, Ints
from sequencer.machine.model import Place

MOST_PIECES = 400_000
"""A finer cut of one shape takes minutes and memory; a coarser tolerance is asked for instead."""


def boxes_of_mesh(path: Path, tolerance_mm: float, place: Place) -> tuple[Ints, Ints]:
    """The low and high corners, in units, of boxes around the skin of the shape at ``path``.

    Raises:
        SequencerError: trimesh is not there, or the file can't be read, has no skin, or is too large.
    """
    where = f"{place}:{place.column}"
    triangles = _triangles(path, where)
    third = tolerance_mm / 3
    sides = triangles[:, [1, 2, 0]] - triangles
    areas = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1) / 2
    if areas.sum() > MOST_PIECES * third * third / 4:
        raise SequencerError(
            f"{where}: {path.name} is too large to be cut to {tolerance_mm:g} mm",
            "ask for less with --tolerance MM, or give the part a box",
        )
    pieces = _cut(triangles, third)
    low, high = pieces.min(axis=1), pieces.max(axis=1)
    cells = np.floor(pieces.mean(axis=1) / third).astype(np.int64)
    _, cell = np.unique(cells, axis=0, return_inverse=True)
    count = int(cell.max()) + 1
    least, most = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    np.minimum.at(least, cell.ravel(), low)
    np.maximum.at(most, cell.ravel(), high)
    return _units(least), _units(most)


def _units(corners: np.ndarray) -> Ints:
    """Millimetres as units, rounded to a thousandth of a millimetre: what a mesh file can mean."""
    return np.asarray(np.rint(corners * 1000).astype(np.int64) * (UNITS // 1000))


def _triangles(path: Path, where: str) -> np.ndarray:
    try:
        import trimesh
    except ImportError:
        raise SequencerError(
            f"{where}: {path.name} can't be read without the package trimesh",
            "install it: pip install 'sequencer[mesh]', or give the part a box",
        ) from None
    try:
        mesh = trimesh.load(path, force="mesh")
        triangles = np.asarray(mesh.triangles, dtype=np.float64)  # type: ignore[attr-defined]
    except Exception as why:  # whatever a reader of foreign files runs into
        reason = " ".join(str(why).split())[:80] or type(why).__name__
        raise SequencerError(f"{where}: {path.name} can't be read: {reason}", "export it anew") from why
    if not len(triangles) or not np.isfinite(triangles).all() or np.abs(triangles).max() > 100_000:
        raise SequencerError(
            f"{where}: {path.name} has no skin, or one farther away than 100 m",
            "export it anew, in millimetres",
        )
    return triangles


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
