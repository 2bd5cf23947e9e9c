"""Skins of triangles on their way: close fits slide, and what is in the way stops."""

import math
from importlib.util import find_spec

import numpy as np
import pytest

from tests.support.profile import before_landing

pytestmark = pytest.mark.skipif(
    not (find_spec("trimesh") and find_spec("shapely")), reason="needs trimesh and shapely"
)
UP, DOWN, ASIDE = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0)


def turned(mesh, angle, z=0.0, x=0.0):
    from trimesh import transformations

    from sequencer.graph.geometry.shapes import Shape

    mesh.apply_transform(transformations.rotation_matrix(angle, [0, 0, 1]))
    mesh.apply_translation([x, 0, z])
    return Shape(np.array(mesh.triangles), np.array(mesh.faces))


def shaft(radius, long=80.0, sections=24, angle=0.0, z=0.0, x=0.0):
    import trimesh

    return turned(trimesh.creation.cylinder(radius, long, sections=sections), angle, z + long / 2, x)


def bore(radius, outside=40.0, long=40.0, sections=24, angle=0.0, z=0.0):
    import trimesh

    return turned(trimesh.creation.annulus(radius, outside, long, sections=sections), angle, z + long / 2)


def box(low, high):
    from sequencer.graph.geometry.shapes import Shape

    return Shape.of_boxes(np.array([low], dtype=float), np.array([high], dtype=float))


def met(moving, still, way=UP, length=math.inf, at=(0, 0, 0), tolerance=0.1):
    from sequencer.graph.geometry.meeting import stopped

    return stopped(moving, still, way, length, np.array(at, dtype=float), tolerance)


@before_landing
@pytest.mark.parametrize("clearance", [0.0, 0.02, 0.2, 1.0])
@pytest.mark.parametrize(("sections", "others"), [(16, 16), (16, 24), (64, 50), (8, 12)])
def test_a_shaft_slides_in_its_bore_and_through_one_farther_on_whatever_their_facets(
    clearance, sections, others
):
    moving = shaft(20, sections=sections)
    here = bore(20 + clearance, sections=others, angle=math.pi / others, z=20)
    farther = bore(20 + clearance, sections=others, angle=0.1, z=100)
    for way in (UP, DOWN):
        assert not met(moving, here, way)
        assert not met(here, moving, way)
    assert not met(moving, farther)
    assert not met(farther, moving, DOWN)
    assert met(moving, farther, ASIDE) is False  # it is above
    assert met(moving, here, ASIDE)


@before_landing
@pytest.mark.parametrize("lip", [0.3, 1.0, 5.0])
@pytest.mark.parametrize(("sections", "others"), [(16, 16), (16, 24), (64, 50)])
def test_a_lip_in_the_bore_stops_the_shaft(lip, sections, others):
    moving = shaft(20, sections=sections)
    over = bore(20 - lip, sections=others, angle=math.pi / others, z=100)
    assert met(moving, over)
    assert not met(moving, over, length=19.9)
    assert met(moving, over, length=20.5)
    assert met(over, moving, DOWN)
    assert not met(moving, over, DOWN)


def test_plates_face_to_face_slide_and_one_over_the_other_stops():
    low = box((0, 0, 0), (100, 60, 10))
    assert not met(low, box((100.02, 0, 0), (120, 60, 50)))
    assert not met(low, box((99.95, 0, -20), (120, 60, 50)))
    assert not met(low, box((0, 0, 10), (100, 60, 20)), ASIDE)
    assert met(low, box((98, 0, 30), (120, 60, 50)))
    assert met(low, box((0, 0, 9), (100, 60, 29)))  # an error of measuring is contact, and stops
    assert met(low, box((0, 0, 9), (100, 60, 29)), length=5)
    assert not met(low, box((0, 0, -9), (100, 60, 1)))  # contact below doesn't
    assert not met(low, box((40, 20, -30), (60, 40, 30)))  # through it: too rough to tell


def test_trays_one_in_the_other_come_apart_though_their_floors_are_thin():
    from sequencer.graph.geometry.shapes import Shape

    def tray(z):
        walls = [
            ((0, 0, z), (100, 100, z + 1)),
            ((0, 0, z), (1, 100, z + 40)),
            ((99, 0, z), (100, 100, z + 40)),
        ]
        low, high = (np.array([wall[n] for wall in walls], dtype=float) for n in (0, 1))
        return Shape.of_boxes(low, high)

    inner = box((2, 0, 1.2), (98, 100, 2.2))
    assert not met(inner, tray(0))
    assert met(inner, tray(0), DOWN)


def test_an_edge_of_sheet_stops_and_a_slanted_face_does_where_it_is_met():
    assert met(shaft(20), box((-50, 3, 100), (50, 4, 200)))
    assert not met(shaft(20), box((-50, 3, 100), (50, 3.05, 200)))
    slant = tuple(float(x) for x in np.array([1.0, 0, 1.0]) / math.sqrt(2))
    assert met(box((0, 0, 0), (10, 10, 10)), box((30, 0, 30), (40, 10, 40)), slant)
    assert not met(box((0, 0, 0), (10, 10, 10)), box((0, 0, 30), (10, 10, 40)), slant)
    assert not met(box((0, 0, 0), (10, 10, 10)), box((10, 0, 0), (20, 10, 10)), UP)


def test_bodies_inside_each_other_are_told_from_fits_and_from_contact():
    from sequencer.graph.geometry.meeting import inside_by

    assert inside_by(shaft(20), shaft(5, 10, z=40), 0.1)
    assert not inside_by(shaft(20), bore(20, angle=0.1, z=20), 0.1)
    assert not inside_by(shaft(20), shaft(20, 40, z=79), 0.1)


def test_a_tool_meets_a_pipe_beside_it_and_its_handle_a_wall():
    from sequencer.graph.geometry.skins import handle_meets, rod_meets

    pipe = shaft(6, x=20.0)
    spot = np.zeros(3)
    assert rod_meets(pipe, spot, 2, 1, (0.1, 50), 14.5)
    assert not rod_meets(pipe, spot, 2, 1, (0.1, 50), 13.9)
    assert not rod_meets(pipe, spot, 2, -1, (0.1, 50), 14.5)
    assert rod_meets(shaft(40), np.array([0.0, 0, 20]), 2, 1, (0.1, 10), 2)  # within it, its skin far off
    assert rod_meets(shaft(40), np.array([0.0, 0, -20]), 2, 1, (0.1, 30), 0.05)
    (arc,) = [handle_meets(box((15, -10, -5), (25, 10, 5)), spot, 2, 60)]
    assert min(a for a, _ in arc) == pytest.approx(-math.atan2(10, 15))
    assert max(b for _, b in arc) == pytest.approx(math.atan2(10, 15))
    assert handle_meets(shaft(40, z=-40), spot, 2, 20) == [(0.0, math.tau)]
    assert handle_meets(box((15, -10, 1), (25, 10, 5)), spot, 2, 60) == []
