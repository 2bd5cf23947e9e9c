"""Shapes from files: cut to boxes that miss nothing of the skin and keep to the tolerance."""

import builtins
from importlib.util import find_spec

import numpy as np
import pytest

from sequencer.errors import SequencerError
from sequencer.graph.geometry import scan
from sequencer.graph.geometry.meshes import boxes_of_mesh
from sequencer.graph.geometry.sweep import UNITS
from sequencer.machine import read
from sequencer.machine.frame import Mesh
from sequencer.machine.model import Place

# Loaded where they are called: only one of the processes that read this file needs them.
pytestmark = pytest.mark.skipif(
    not (find_spec("trimesh") and find_spec("scipy")), reason="needs trimesh and scipy"
)
PLACE = Place("m.yaml", 3, 5)


def inside_any(points, low, high, slack=1e-3):
    return ((points[:, None] >= low - slack) & (points[:, None] <= high + slack)).all(axis=2).any(axis=1)


@pytest.mark.parametrize("ending", ["stl", "obj", "glb"])
def test_every_point_of_the_skin_is_in_a_box_and_no_corner_strays_beyond_the_tolerance(tmp_path, ending):
    import trimesh
    from scipy import spatial

    ball = trimesh.creation.icosphere(subdivisions=3, radius=30.0)
    ball.apply_translation([100, -20, 5])
    path = tmp_path / f"ball.{ending}"
    ball.apply_scale(0.001 if ending == "glb" else 1.0)  # glTF is in metres
    ball.export(path)
    ball.apply_scale(1000 if ending == "glb" else 1.0)
    skin = boxes_of_mesh(tmp_path, Mesh(path.name), 5.0, PLACE)
    low, high = skin.low / UNITS, skin.high / UNITS
    points, _ = trimesh.sample.sample_surface(ball, 1000, seed=1)
    assert inside_any(points, low, high).all()
    near = trimesh.sample.sample_surface(ball, 40_000, seed=2)[0]
    farthest, _ = spatial.cKDTree(near).query(np.concatenate([low, high]), p=np.inf)
    assert farthest.max() <= 5.0


def test_faces_along_the_axes_come_out_exact(tmp_path):
    import trimesh

    path = tmp_path / "block.stl"
    trimesh.creation.box(bounds=[[0, 0, 0], [40, 30, 20]]).export(path)
    skin = boxes_of_mesh(tmp_path, Mesh("block.stl"), 7.0, PLACE)
    assert skin.low.tolist() == [[0, 0, 0]]
    assert skin.high.tolist() == [[40 * UNITS, 30 * UNITS, 20 * UNITS]]


def test_a_plain_plate_of_any_size_is_one_box(tmp_path):
    import trimesh

    trimesh.creation.box((450, 200, 120)).export(tmp_path / "plate.stl")
    assert len(boxes_of_mesh(tmp_path, Mesh("plate.stl"), 0.01, PLACE).low) == 1


def test_one_body_of_a_file_is_taken_by_its_name_where_the_scene_puts_it(tmp_path):
    import trimesh

    scene = trimesh.Scene()
    beside = trimesh.transformations.translation_matrix((0.1, 0, 0))
    for name, where in (("housing", np.eye(4)), ("impeller", beside)):
        scene.add_geometry(trimesh.creation.box((0.02, 0.02, 0.01)), name, name, transform=where)
    scene.export(tmp_path / "pump.glb")
    skin = boxes_of_mesh(tmp_path, Mesh.read("pump.glb#impeller"), 5.0, PLACE)
    assert (skin.low / UNITS).tolist() == [[90, -10, -5]]
    with pytest.raises(SequencerError, match=r"no body 'shaft'.*housing, impeller"):
        boxes_of_mesh(tmp_path, Mesh.read("pump.glb#shaft"), 5.0, PLACE)


def test_a_size_that_no_part_has_is_a_wrong_unit(tmp_path):
    import trimesh

    trimesh.creation.box((0.3, 0.2, 0.1)).export(tmp_path / "lid.stl")
    with pytest.raises(SequencerError, match=r"0\.3 mm long, read in mm.*mesh_unit: cm or m or in"):
        boxes_of_mesh(tmp_path, Mesh("lid.stl"), 5.0, PLACE)
    skin = boxes_of_mesh(tmp_path, Mesh("lid.stl", unit="m"), 5.0, PLACE)
    assert (skin.high / UNITS).tolist() == [[150, 100, 50]]


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
    assert (result.room.tolerance_mm, set(result.room.meshes)) == (5.0, {"cup"})
    assert scan(cup(tmp_path, height=-5)).hidden == ()  # below it, face to face


def test_what_is_no_shape_is_refused_at_its_line(tmp_path):
    machine = cup(tmp_path)
    for content in (b"", b"solid x\nendsolid x\n", b"\x00\x01rubbish"):
        (tmp_path / "cup.stl").write_bytes(content)
        with pytest.raises(SequencerError, match=r"m\.yaml:3:.*cup\.stl"):
            scan(machine)


def test_too_fine_a_cut_is_made_less_finely_and_says_so(tmp_path):
    import trimesh

    trimesh.creation.icosphere(subdivisions=2, radius=100).export(tmp_path / "ball.stl")
    skin = boxes_of_mesh(tmp_path, Mesh("ball.stl"), 0.1, PLACE)
    assert 0.1 < skin.tolerance_mm < 5


def test_without_trimesh_the_message_says_what_to_install(tmp_path, monkeypatch):
    machine, real = cup(tmp_path), builtins.__import__

    def without(name, *rest):
        if name == "trimesh":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SequencerError, match=r"without the package trimesh.*sequencer\[mesh\]"):
        scan(machine)
