"""The skin of a shape from a file.

glTF is in metres (Khronos, glTF 2.0 specification, 3.4, "Coordinate System and Units"); STL and OBJ have no
unit, and are taken for millimetres unless the machine file says another. A shape that fills the box around it
is that box. A skin that is not closed has no inside: it is taken for sheet, thick enough to be met edge on.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from sequencer.errors import SequencerError
from sequencer.graph.geometry.planes import Floats
from sequencer.graph.geometry.shapes import Shape
from sequencer.machine.frame import UNITS_OF_LENGTH, Mesh
from sequencer.machine.model import Place

if TYPE_CHECKING:
    import trimesh

MM = dict(zip(UNITS_OF_LENGTH, (1.0, 10.0, 1000.0, 25.4), strict=True))
SMALLEST_MM, LARGEST_MM = 2.0, 20_000.0
"""Between these is the longest side of any part; beyond them the unit is wrong (common practice)."""


MOST_FROM_NOUGHT_MM = 100_000
"""What whole units of 64 bits hold with room to spare."""


def shape_of_mesh(folder: Path, mesh: Mesh, tolerance_mm: float, place: Place) -> tuple[Shape, bool]:
    """The skin of ``mesh``, whose file lies in ``folder`` or below it; whether it fills the box around it.

    Raises:
        SequencerError: trimesh or Shapely is not there, or the file can't be read, has no skin or no body of
            that name, or is of a size that no part has.
    """
    where = f"{place}:{place.column}"
    skins = _skins(folder / mesh.file, mesh, where)
    closed = all(skin.is_watertight and skin.is_winding_consistent for skin in skins)
    if closed:
        faces = [skin.faces if _volume(skin) > 0 else skin.faces[:, ::-1] for skin in skins]
        begins = np.cumsum([0, *(len(skin.vertices) for skin in skins)])
        corners = np.concatenate([some + begin for some, begin in zip(faces, begins, strict=False)])
        shape = Shape(np.concatenate([skin.vertices for skin in skins])[corners], corners)
    else:
        shape = Shape(np.concatenate([_as_sheet(skin, tolerance_mm) for skin in skins]))
    room = float(np.prod(shape.high - shape.low))
    plain = len(skins) == 1 and closed and abs(abs(_volume(skins[0])) - room) <= room * 1e-9
    return shape, bool(plain)


def _volume(skin: trimesh.Trimesh) -> float:
    """What a closed skin holds, in mm³; less than nothing where it is wound to look inwards."""
    a, b, c = np.moveaxis(np.asarray(skin.triangles, dtype=float), 1, 0)
    return float((np.cross(a, b) * c).sum() / 6)


def _as_sheet(skin: trimesh.Trimesh, tolerance_mm: float) -> Floats:
    """The triangles of an open skin as sheet, wound to look outwards."""
    triangles = np.asarray(skin.triangles, dtype=float)
    sides = triangles[:, 1:] - triangles[:, :1]
    out = np.cross(sides[:, 0], sides[:, 1])
    long = np.linalg.norm(out, axis=1)
    kept = long > 1e-9
    thick = (out[kept] / long[kept, None])[:, None] * (tolerance_mm * 0.5005)
    top, bottom = triangles[kept] + thick, triangles[kept] - thick
    around = [
        piece
        for a, b in ((0, 1), (1, 2), (2, 0))
        for piece in (
            np.stack([bottom[:, a], bottom[:, b], top[:, b]], axis=1),
            np.stack([bottom[:, a], top[:, b], top[:, a]], axis=1),
        )
    ]
    return np.concatenate([top, bottom[:, ::-1], *around])


def _skins(path: Path, mesh: Mesh, where: str) -> list[trimesh.Trimesh]:
    """The bodies of a shape's file in millimetres, or the one that is asked for."""
    try:
        import shapely  # noqa: F401 - what is read here is cut by it
        import trimesh
    except ImportError as why:
        raise SequencerError(
            f"{where}: {path.name} can't be read without the package {why.name}",
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
    for skin in skins:
        skin.apply_scale(MM[unit])  # type: ignore[no-untyped-call]
    corners = np.concatenate([np.zeros((0, 3)), *(skin.triangles.reshape(-1, 3) for skin in skins)])
    _check_size(corners, unit, f"{where}: {path.name}")
    return skins


def _placed(scene: trimesh.Scene, name: str) -> trimesh.Trimesh:
    """The body of that name where its scene puts it."""
    by, body = scene.graph[name]
    return scene.geometry[body].copy().apply_transform(by)  # type: ignore[no-any-return]


def _check_size(corners: Floats, unit: str, what: str) -> None:
    """See to it that a shape has a skin, and a size that a part can have."""
    if not len(corners) or not np.isfinite(corners).all():
        raise SequencerError(f"{what} has no skin", "export it anew")
    longest = float((corners.max(axis=0) - corners.min(axis=0)).max())
    if not SMALLEST_MM <= longest <= LARGEST_MM:
        raise SequencerError(
            f"{what} is {longest:.3g} mm long, read in {unit}: no part is",
            f"say the unit that it was drawn in: mesh_unit: {' or '.join(one for one in MM if one != unit)}",
        )
    if np.abs(corners).max() > MOST_FROM_NOUGHT_MM:
        raise SequencerError(f"{what} lies over 100 m from the origin", "export it where it is fitted")
