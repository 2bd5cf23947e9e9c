"""What a person can get wrong in saying where things are: ways, lengths without a place, shapes."""

from __future__ import annotations

from pathlib import Path as FilePath
from pathlib import PurePosixPath, PureWindowsPath

from sequencer.machine.facts.frame import ANY, UNITS_OF_LENGTH, WAYS, Mesh
from sequencer.machine.faults import quote
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import PartEntry
from sequencer.machine.schema.joint_entry import JointEntry

MESH_ENDINGS = (".stl", ".obj", ".glb")
_LENGTHS = ("reach", "swing", "draw")


def check_part_frame(scope: Scope, part: PartEntry, path: Path) -> None:
    """Note what is wrong with where the part at ``path`` is, and how it leaves."""
    for where, way in scope.texts(part.out, (*path, "out")):
        if way != ANY and not way.startswith("["):  # three numbers have been read
            _check_way(scope, way, where, f", {ANY}, or three numbers: [0, 1, 1]")
    if part.tilt is not None:
        _check_way(scope, part.tilt.about, (*path, "tilt", "about"))
        if not part.out:
            problem = "it is said how it tilts, and not which way it leaves then"
            scope.warning((*path, "tilt"), problem, "write out: +y beside it", key=True)
    for _ in scope.texts(part.seen, (*path, "seen")):
        pass
    if part.mesh is not None:
        _check_mesh(scope, Mesh.read(part.mesh).file, (*path, "mesh"))
        if part.box:
            scope.warning(
                (*path, "box"), "there is a mesh, and a box as well", "the mesh is used; keep one", key=True
            )
    if part.mesh_unit is not None and part.mesh_unit not in UNITS_OF_LENGTH:
        problem = f"`{quote(part.mesh_unit)}` is no unit of length that is known here"
        scope.error((*path, "mesh_unit"), problem, f"write {', '.join(UNITS_OF_LENGTH)}")
    if part.mesh_unit is not None and part.mesh is None:
        scope.warning((*path, "mesh_unit"), "there is a unit, and no mesh", "write mesh: beside it", key=True)
    moves = [key for key in ("loose", "aside") if (state := getattr(part, key)) and state.by is not None]
    for key in ("out", *moves):
        room = (
            part.box or part.mesh or (key != "out" and any(one.box for one in (part.joints or {}).values()))
        )
        if (part.out or key != "out") and not room:
            where = (*path, key) if key == "out" else (*path, key, "by")
            problem = "it is said how it moves, and not what room it takes"
            scope.warning(where, problem, "write box: {at: [x, y, z], size: [a, b, c]} on the part", key=True)


def check_joint_frame(scope: Scope, joint: JointEntry, path: Path) -> None:
    """Note what is wrong with how the joint at ``path`` is reached."""
    if joint.axis is not None:
        _check_way(scope, joint.axis, (*path, "axis"))
    spots = [spot for spot in joint.at or () if len(spot) == 3]
    count = joint.count or 1
    if len(spots) > 1 and len(spots) != count:
        scope.warning(
            (*path, "at"),
            f"there are {len(spots)} places, and the count is {count}",
            "write one place for all, or one for each fastener",
            key=True,
        )
    for key in _LENGTHS:
        missing = [] if spots or (joint.at is None and scope.tree.at((*path, "at"))) else ["at: [x, y, z]"]
        missing += [] if joint.axis else ["axis: +z"]
        if getattr(joint, key) is not None and missing:
            lacking = " and ".join(missing)
            problem = f"`{key}` says nothing without the fastener's place and axis"
            scope.warning((*path, key), problem, f"write {lacking} beside it", key=True)
            break


def _check_way(scope: Scope, way: str, path: Path, more: str = "") -> None:
    if way not in WAYS:
        scope.error(path, f"`{quote(way)}` is no way", f"the ways are {', '.join(WAYS)}{more}")


def _check_mesh(scope: Scope, mesh: str, path: Path) -> None:
    if not mesh.casefold().endswith(MESH_ENDINGS):
        scope.error(
            path, f"`{quote(mesh)}` is not a shape that can be read", "give an .stl, .obj or .glb file"
        )
    elif ".." in PurePosixPath(mesh).parts or PurePosixPath(mesh).is_absolute() or _on_windows(mesh):
        scope.error(
            path, "a shape lies beside the machine file or below it", "write its path from there: files/x.stl"
        )
    elif not _is_there(FilePath(scope.tree.file).parent / mesh):
        problem = f"there is no file `{quote(mesh)}` beside the machine file"
        scope.warning(path, problem, "put it there, or take the key out; plans do without it")


def _on_windows(mesh: str) -> bool:
    return "\\" in mesh or bool(PureWindowsPath(mesh).drive)


def _is_there(path: FilePath) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name that no file can have
        return False
