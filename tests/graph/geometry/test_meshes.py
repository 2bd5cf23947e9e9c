"""Shapes from files: their skins, units, bodies, and what is refused."""

import builtins
import math
from importlib.util import find_spec

import numpy as np
import pytest

from sequencer.errors import SequencerError
from sequencer.graph.geometry import scan
from sequencer.graph.geometry.meeting import stopped
from sequencer.graph.geometry.meshes import shape_of_mesh
from sequencer.graph.geometry.shapes import Shape
from sequencer.graph.geometry.solids import TOLERANCE_MM
from sequencer.machine import read
from sequencer.machine.facts.frame import Mesh
from sequencer.machine.model import Place

# Loaded where they are called: only one of the processes that read this file needs them.
pytestmark = pytest.mark.skipif(
    not (find_spec("trimesh") and find_spec("shapely")), reason="needs trimesh and shapely"
)
PLACE = Place("m.yaml", 3, 5)


def skin_of(folder, mesh, tolerance=TOLERANCE_MM):
    shape, plain = shape_of_mesh(folder, mesh, tolerance, PLACE)
    return shape.low.round(4).tolist(), shape.high.round(4).tolist(), plain


@pytest.mark.parametrize("ending", ["stl", "obj", "glb"])
def test_a_skin_looks_outwards_whatever_way_it_was_written(tmp_path, ending):
    import trimesh

    ball = trimesh.creation.icosphere(subdivisions=2, radius=30.0)
    ball.apply_translation([100, -20, 5])
    ball.apply_scale(0.001 if ending == "glb" else 1.0)  # glTF is in metres
    for number in range(2):
        path = tmp_path / f"ball{number}.{ending}"
        ball.export(path)
        shape, plain = shape_of_mesh(tmp_path, Mesh(path.name), TOLERANCE_MM, PLACE)
        outward = ((shape.triangles.mean(axis=1) - (100, -20, 5)) * shape.normals).sum(axis=1)
        assert outward.min() > 25
        assert not plain
        ball.invert()


def test_an_open_skin_is_sheet_that_is_met_edge_on(tmp_path):
    import trimesh

    sheet = trimesh.Trimesh([[0, 0, 0], [50, 0, 0], [50, 0, 50], [0, 0, 50]], [[0, 1, 2], [0, 2, 3]])
    sheet.export(tmp_path / "sheet.stl")
    shape, _ = shape_of_mesh(tmp_path, Mesh("sheet.stl"), TOLERANCE_MM, PLACE)
    block = Shape.of_boxes(np.array([[10.0, -10, -30]]), np.array([[20.0, 10, -10]]))
    for way, met in (((0.0, 0.0, 1.0), True), ((0.0, 0.0, -1.0), False)):
        assert stopped(block, shape, way, math.inf, np.zeros(3), TOLERANCE_MM) is met


def test_faces_along_the_axes_come_out_exact(tmp_path):
    import trimesh

    path = tmp_path / "block.stl"
    trimesh.creation.box(bounds=[[0, 0, 0], [40, 30, 20]]).export(path)
    assert skin_of(tmp_path, Mesh("block.stl")) == ([0, 0, 0], [40, 30, 20], True)


def test_a_plain_plate_of_any_size_is_one_box(tmp_path):
    import trimesh

    trimesh.creation.box((450, 200, 120)).export(tmp_path / "plate.stl")
    assert skin_of(tmp_path, Mesh("plate.stl"), 0.01)[2]


def test_one_body_of_a_file_is_taken_by_its_name_where_the_scene_puts_it(tmp_path):
    import trimesh

    scene = trimesh.Scene()
    beside = trimesh.transformations.translation_matrix((0.1, 0, 0))
    for name, where in (("housing", np.eye(4)), ("impeller", beside)):
        scene.add_geometry(trimesh.creation.box((0.02, 0.02, 0.01)), name, name, transform=where)
    scene.export(tmp_path / "pump.glb")
    assert skin_of(tmp_path, Mesh.read("pump.glb#impeller"))[0] == [90, -10, -5]
    with pytest.raises(SequencerError, match=r"no body 'shaft'.*housing, impeller"):
        skin_of(tmp_path, Mesh.read("pump.glb#shaft"))


def test_a_size_that_no_part_has_is_a_wrong_unit(tmp_path):
    import trimesh

    trimesh.creation.box((0.3, 0.2, 0.1)).export(tmp_path / "lid.stl")
    with pytest.raises(SequencerError, match=r"0\.3 mm long, read in mm.*mesh_unit: cm or m or in"):
        skin_of(tmp_path, Mesh("lid.stl"))
    assert skin_of(tmp_path, Mesh("lid.stl", unit="m"))[1] == [150, 100, 50]


NO_SKIN = {"points": "v 0 0 0\nv 10 0 0\nv 0 10 0\n", "line": "v 0 0 0\nv 90 0 0\nv 99 0 0\nf 1 2 3\n"}


@pytest.mark.parametrize("text", NO_SKIN.values(), ids=list(NO_SKIN))
def test_points_and_triangles_without_an_area_are_no_skin(tmp_path, text):
    (tmp_path / "lid.obj").write_text(text, "utf-8")
    with pytest.raises(SequencerError, match=r"m\.yaml:3:5: lid\.obj has no surface"):
        skin_of(tmp_path, Mesh("lid.obj"))


def test_a_shape_out_of_proportion_to_its_machine_is_asked_for_its_unit(tmp_path):
    """A panel of 2.5 m that was drawn in metres is 2.5 mm in millimetres: no size that no part has."""
    import trimesh

    trimesh.creation.box(bounds=[[0, 0, 0.2], [2.5, 1.5, 0.3]]).export(tmp_path / "panel.stl")
    path = tmp_path / "m.yaml"
    boxes = (
        "box: {at: [500, 500, 0], size: [900, 300, 150]}, out: +z, joints: {bolts: {kind: bolt, head: 13}}"
    )
    panel = "machine: m\nparts:\n  gearbox: {%s}\n  panel: {mesh: panel.stl%s, joints: {c: {kind: clip}}}\n"
    path.write_text(panel % (boxes, ""), "utf-8")
    with pytest.raises(SequencerError, match=r"yaml:4:3: panel\.stl is 2\.5 mm long.* of 1400 mm.*mesh_unit"):
        scan(read(path).machine)
    for unit, found in (("mm", ()), ("m", (("gearbox", "panel"),))):  # the author's word goes
        path.write_text(panel % (boxes, f", mesh_unit: {unit}"), "utf-8")
        assert tuple((one.holder, str(one.any_of[0])) for one in scan(read(path).machine).hidden) == found


MACHINE = """\
machine: m
parts:
  cup: {mesh: cup.%s, out: +z, joints: {clip: {kind: clip}}}
  lid: {box: {at: [0, 0, %s], size: [40, 30, 5]}, joints: {clip: {kind: clip}}}
"""


def cup(tmp_path, ending="stl", height=20):
    import trimesh

    trimesh.creation.box(bounds=[[0, 0, 0], [40, 30, 20]]).export(tmp_path / f"cup.{ending}")
    path = tmp_path / "m.yaml"
    path.write_text(MACHINE % (ending, height), "utf-8")
    return read(path).machine


def test_a_shape_is_barred_as_a_box_is_and_touching_is_no_collision(tmp_path):
    result = scan(cup(tmp_path))
    assert [(one.holder, str(one.any_of[0])) for one in result.hidden] == [("cup", "lid")]
    assert result.room.shapes == {}  # it fills the box around it
    assert scan(cup(tmp_path, height=-5)).hidden == ()  # below it, face to face


def test_what_is_no_shape_is_refused_at_its_line(tmp_path):
    machine = cup(tmp_path)
    for content in (b"", b"solid x\nendsolid x\n", b"\x00\x01rubbish"):
        (tmp_path / "cup.stl").write_bytes(content)
        with pytest.raises(SequencerError, match=r"m\.yaml:3:.*cup\.stl"):
            scan(machine)


@pytest.mark.parametrize("package", ["trimesh", "shapely"])
def test_without_its_package_the_message_says_what_to_install(tmp_path, monkeypatch, package):
    machine, real = cup(tmp_path), builtins.__import__

    def without(name, *rest):
        if name == package:
            raise ImportError(name, name=name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SequencerError, match=rf"without the package {package}.*sequencer\[mesh\]"):
        scan(machine)
