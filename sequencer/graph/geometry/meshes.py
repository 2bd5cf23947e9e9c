"""The skin of a shape from a file.

glTF is in metres (Khronos, glTF 2.0 specification, 3.4, "Coordinate System and Units"); STL and OBJ have no
unit, and are taken for millimetres unless the machine file says another. A shape that fills the box around it
is that box. A skin that is not closed has no inside: it is taken for sheet, thick enough to be met edge on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from sequencer.errors import SequencerError
from sequencer.graph.geometry.planes import Floats
from sequencer.graph.geometry.shapes import Shape
from sequencer.graph.geometry.sweep import UNITS
from sequencer.machine.facts.frame import UNITS_OF_LENGTH, Mesh
from sequencer.machine.model import Machine, Place

if TYPE_CHECKING:
    import trimesh

MM = dict(zip(UNITS_OF_LENGTH, (1.0, 10.0, 1000.0, 25.4), strict=True))
SMALLEST_MM, LARGEST_MM = 2.0, 20_000.0
"""Between these is the longest side of any part; beyond them the unit is wrong (common practice)."""

SMALLEST_SHARE = 1 / 300
"""A shape of no stated unit is this much of the machine, or its unit is asked for (our own judgement): drawn
in metres and read in millimetres comes to less, unless it is over three times as long as all the rest."""

MOST_FROM_NOUGHT_MM = 100_000
"""What whole units of 64 bits hold with room to spare."""


def shape_of_mesh(folder: Path, mesh: Mesh, tolerance_mm: float, place: Place) -> tuple[Shape, bool]:
    """The skin of ``mesh``, whose file lies in ``folder`` or below it; whether it fills the box around it.

    Raises:
        SequencerError: trimesh or Shapely is not there, or the file can't be read, has no surface or no
            body of that name, or is of a size that no part has.
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
        if not len(shape.triangles):  # none has an area
            raise SequencerError(f"{where}: {Path(mesh.file).name} has no surface", "export it again")
    room = float(np.prod(shape.high - shape.low))
    plain = len(skins) == 1 and closed and abs(abs(_volume(skins[0])) - room) <= room * 1e-9
    return shape, bool(plain)


def check_proportions(machine: Machine, around: Mapping[str, Sequence[Sequence[int]]]) -> None:
    """See to it that no shape is lost in the machine because nobody said what unit it was drawn in.

    Args:
        machine: The machine whose shapes these are.
        around: Two opposite corners of the box around each part that has room, in units of ``sweep``.

    Raises:
        SequencerError: A shape is less than ``SMALLEST_SHARE`` of the machine, and neither its file nor the
            machine file says its unit.
    """
    corners = np.array(list(around.values()), dtype=float)  # (parts, 2, 3)
    longest = dict(zip(around, (corners[:, 1] - corners[:, 0]).max(axis=1) / UNITS, strict=True))
    whole = float((corners[:, 1].max(axis=0) - corners[:, 0].min(axis=0)).max()) / UNITS
    for part in machine.parts.values():
        if part.mesh is None or part.mesh.unit is not None or part.mesh.file.casefold().endswith(".glb"):
            continue
        if longest[part.name] < whole * SMALLEST_SHARE:
            raise SequencerError(
                f"{part.place}:{part.place.column}: {Path(part.mesh.file).name} is "
                f"{longest[part.name]:.3g} mm long, read in mm, on a machine of {whole:.0f} mm",
                "say the unit that it was drawn in: mesh_unit: m or cm or in, or mm where it is so small",
            )


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
    if not path.is_file():
        raise SequencerError(
            f"{where}: there is no file {path.name} to be scanned", "put it there, or give the part a box"
        )
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
        bodies = {name: body for name, body in bodies.items() if isinstance(body, trimesh.Trimesh)}
    except Exception as why:  # whatever a reader of foreign files runs into
        reason = " ".join(str(why).split())[:80] or type(why).__name__
        raise SequencerError(f"{where}: {path.name} can't be read: {reason}", "export it again") from why
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
        raise SequencerError(f"{what} has no surface", "export it again")
    longest = float((corners.max(axis=0) - corners.min(axis=0)).max())
    if not SMALLEST_MM <= longest <= LARGEST_MM:
        raise SequencerError(
            f"{what} is {longest:.3g} mm long, read in {unit}: no part is",
            f"say the unit that it was drawn in: mesh_unit: {' or '.join(one for one in MM if one != unit)}",
        )
    if np.abs(corners).max() > MOST_FROM_NOUGHT_MM:
        raise SequencerError(f"{what} lies over 100 m from the origin", "export it where it is fitted")
