"""Ways of leaving: any direction, stops on the way, in two legs, and together with what rides along."""

from importlib.util import find_spec

import pytest

from sequencer.graph.geometry import scan
from sequencer.machine import read
from tests.graph.geometry.test_seen import CLIP, box, found, made
from tests.machine.texts import faults
from tests.support.profile import before_landing

BLOCK = f"low: {{{box(0, 0, 0)}, out: %s, {CLIP}}}"
LIP = f"lip: {{{box(0, -10, 0, c=4)}, {CLIP}}}"
LID = f"lid: {{{box(0, 0, 16)}, {CLIP}}}"


def legs(*parts):
    return scan(made(*parts)).legs


def test_a_part_that_is_lifted_over_a_lip_and_drawn_off_under_a_lid_is_free():
    assert found(BLOCK % "[+z, -y]", LIP, LID) == []
    assert legs(BLOCK % "[+z, -y]", LIP, LID) == {"low": "4 mm +z, then -y"}
    assert found(BLOCK % "+z", LIP, LID) == [("low", "trapped_by", "lid")]
    assert found(BLOCK % "-y", LIP, LID) == [("low", "trapped_by", "lip")]


def test_a_lift_that_a_lid_does_not_leave_is_none():
    close = f"lid: {{{box(0, -40, 13, b=90)}, {CLIP}}}"
    assert found(BLOCK % "[+z, -y]", LIP, close) == [("low", "trapped_by", "lid or lip")]


def test_what_bars_only_the_second_leg_is_one_way_of_opening_it():
    over = f"bar: {{{box(0, -40, 5, c=30)}, {CLIP}}}"
    assert found(BLOCK % "[+z, -y]", LIP, LID, over) == [("low", "trapped_by", "lid or bar")]


def test_a_part_leaves_in_any_direction_that_is_given():
    high = f"lid: {{{box(0, 0, 20)}, {CLIP}}}"
    assert found(BLOCK % "[0, -1, 1]", high) == []
    assert found(BLOCK % "[0, -1, 3]", high) == [("low", "trapped_by", "lid")]
    ahead = f"stop: {{{box(0, -25, 25)}, {CLIP}}}"
    assert found(BLOCK % "[0, -2, 2]", ahead) == [("low", "trapped_by", "stop")]
    assert found(BLOCK % "[[0, -1, 1], +x]", ahead) == []


def test_a_part_is_tilted_out_from_under_a_lip():
    """A tray with its far end under a lip, and a stop before its near end, 16 high: lifted there it clears.

    By hand: about the line through its far low edge the near end rises by 100 sin a, and has to pass 16.
    Under the lip the far end has 6 mm: its top corner goes back 20 sin a and down, so nothing is met there.
    """
    tray = "low: {box: {at: [0, 0, 0], size: [60, 100, 20]}, out: [0, -3, 1], tilt: %s, " + CLIP + "}"
    lip = f"lip: {{{box(0, 90, 26, 60, 30, 6)}, {CLIP}}}"
    stop = f"stop: {{{box(0, -10, 0, 60, 10, 16)}, {CLIP}}}"
    about = "{about: -x, at: [0, 100, 0], by: %s}"
    flat = tray.replace("tilt: %s, ", "")
    assert found(flat, stop) == [("low", "trapped_by", "stop")]
    (angle,) = legs(tray % (about % 20), lip, stop).values()
    degrees = float(angle.split()[1].rstrip("°"))
    assert angle.endswith("about -x, then [0, -1, 0.333333]")
    assert 1 < degrees <= 10
    assert found(tray % (about % 20), lip, stop) == []
    assert found(tray % (about % 1), stop) == [("low", "trapped_by", "stop")]
    over = f"bar: {{{box(0, 0, 21, 60, 20, 5)}, {CLIP}}}"
    assert ("low", "trapped_by", "stop") in found(tray % (about % 20), stop, over)
    assert found(tray.replace("about", "x") % (about % 20).replace("-x", "+x"), stop, over) != []


def test_any_way_is_whatever_nothing_bars():
    walls = [
        f"a: {{{box(10, 0, 0)}, {CLIP}}}",
        f"b: {{{box(-10, 0, 0)}, {CLIP}}}",
        f"c: {{{box(0, 10, 0)}, {CLIP}}}",
        f"d: {{{box(0, -10, 0)}, {CLIP}}}",
        f"e: {{{box(0, 0, -10)}, {CLIP}}}",
    ]
    assert found(BLOCK % "any", *walls) == []
    (shut,) = found(BLOCK % "any", *walls, f"f: {{{box(0, 0, 10)}, {CLIP}}}")
    assert set(shut[2].split(" or ")) == set("abcdef")


@pytest.mark.parametrize(("by", "seen"), [("[0, -30, 0]", True), ("[[0, 0, 5], [0, -30, 5]]", False)])
def test_stops_on_the_way_go_round_what_a_straight_line_runs_into(by, seen):
    part = f"low: {{{box(0, 0, 0)}, aside: {{by: {by}}}, {CLIP}}}"
    assert bool(found(part, LIP)) is seen


def test_what_rides_along_is_in_nobodys_way_and_has_a_way_to_go_itself():
    head = f"low: {{{box(0, 0, 0)}, out: +z, {CLIP}}}"
    rider = f"rider: {{{box(8, 0, 12)}, rides: {{on: low, with: [clip]}}, {CLIP}}}"
    assert found(head, rider) == []
    beam = f"beam: {{{box(15, 0, 40)}, {CLIP}}}"
    assert found(head, rider, beam) == [("low", "trapped_by", "beam or rider")]
    (seen,) = scan(made(head, rider, beam)).hidden
    assert [(hit.obstacle, hit.rider) for hit in seen.hits] == [("beam", "rider")]
    assert found(head, beam) == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("out: [0, 0, 0]", "leads nowhere"),
        ("out: [[1, 0]]", "three numbers"),
        ("out: [[1, 0, up]]", "number of millimetres"),
        ("tilt: {about: up, at: [0, 0, 0], by: 9}", "`up` is no way"),
        ("tilt: {about: +x, at: [0, 0, 0], by: 90}", "no more than 45 degrees"),
        ("out: sideways", "the ways are +x"),
        ("aside: {by: [[0, 0, 5], [0, 1]]}", "three numbers"),
    ],
)
def test_what_is_no_way_is_told_at_its_line(line, said):
    text = f"machine: m\nparts:\n  a:\n    {box(0, 0, 0)}\n    {line}\n    {CLIP}\n"
    told = [str(one) for one in faults(text)]
    assert any(one.startswith("5:") and said in one for one in told), told


@before_landing
@pytest.mark.skipif(not (find_spec("trimesh") and find_spec("shapely")), reason="needs trimesh and shapely")
def test_a_plug_in_a_slanted_bore_comes_out_along_it_and_no_other_way(tmp_path):
    import numpy as np
    import trimesh
    from trimesh import transformations

    turn = transformations.rotation_matrix(0.6, [0, 1, 0])
    for name, mesh in (
        ("plug", trimesh.creation.cylinder(10, 60, sections=32)),
        ("block", trimesh.creation.annulus(10, 40, 40, sections=40)),
        ("floor", trimesh.creation.box((200, 200, 10))),
    ):
        mesh.apply_translation([0, 0, {"plug": 0, "block": 0, "floor": -36}[name]])
        mesh.apply_transform(turn).export(tmp_path / f"{name}.stl")
    ahead = np.round(turn[:3, 2], 3).tolist()
    path = tmp_path / "m.yaml"
    for out, barred in (("any", False), (str(ahead), False), ("[+z, +x]", True)):
        path.write_text(
            "machine: m\nparts:\n"
            f"  plug: {{mesh: plug.stl, out: {out}, {CLIP}}}\n"
            f"  block: {{mesh: block.stl, {CLIP}}}\n  floor: {{mesh: floor.stl, {CLIP}}}\n",
            "utf-8",
        )
        assert bool(scan(read(path).machine).hidden) is barred, out
