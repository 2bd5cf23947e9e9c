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
    ball.export(path)
    low, high = (corner / UNITS for corner in boxes_of_mesh(path, 5.0, PLACE))
    points, _ = trimesh.sample.sample_surface(ball, 1000, seed=1)
    assert inside_any(points, low, high).all()
    near = trimesh.sample.sample_surface(ball, 40_000, seed=2)[0]
    farthest, _ = spatial.cKDTree(near).query(np.concatenate([low, high]), p=np.inf)
    assert farthest.max() <= 5.0


def test_faces_along_the_axes_come_out_exact(tmp_path):
    import trimesh

    path = tmp_path / "block.stl"
    trimesh.creation.box(bounds=[[0, 0, 0], [40, 30, 20]]).export(path)
    low, high = boxes_of_mesh(path, 7.0, PLACE)
    assert (low.min(axis=0) == 0).all()
    assert (high.max(axis=0) == np.array([40, 30, 20]) * UNITS).all()


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


def test_too_fine_a_cut_is_refused(tmp_path):
    with pytest.raises(SequencerError, match=r"too large to be cut to 0\.001 mm"):
        scan(cup(tmp_path), 0.001)


def test_without_trimesh_the_message_says_what_to_install(tmp_path, monkeypatch):
    machine, real = cup(tmp_path), builtins.__import__

    def without(name, *rest):
        if name == "trimesh":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SequencerError, match=r"without the package trimesh.*sequencer\[mesh\]"):
        scan(machine)
