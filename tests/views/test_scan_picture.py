"""The drawing of a scan: well-formed, marked without colour, names as text, no wider than a phone reads."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from sequencer.graph.geometry import scan
from sequencer.graph.geometry.shapes import Shape
from sequencer.render.pictures.scan import MOST, WIDTH, scan_picture
from sequencer.render.pictures.slices import sliced
from tests.graph.geometry.test_seen import CLIP, JOINT, LOW, box, made

SVG = "{http://www.w3.org/2000/svg}"
LID = f"lid: {{{box(0, 0, 20)}, {CLIP}}}"


def drawn(*parts):
    return ET.fromstring(scan_picture(scan(made(*parts))))


def words(root):
    return [text.text for text in root.iter(f"{SVG}text")]


def test_each_finding_has_a_plan_and_an_elevation_with_both_parts_lettered_and_a_cross():
    root = drawn(LOW, LID)
    assert words(root).count("A") == words(root).count("B") == 2
    assert sum(one.get("stroke") == "#b00020" for one in root.iter(f"{SVG}g")) == 2
    assert [w for w in words(root) if w.startswith("From")] == [
        "From above: x to the right, y up",
        "From the front: x to the right, z up",
    ]
    assert any("hatch" in (one.get("fill") or "") for one in root.iter(f"{SVG}rect"))


def test_what_rides_along_and_runs_into_it_moves_in_the_picture_too():
    head = f"low: {{{box(0, 0, 0)}, out: +z, {CLIP}}}"
    rider = f"rider: {{{box(8, 0, 12)}, rides: {{on: low, with: [clip]}}, {CLIP}}}"
    root = drawn(head, rider, f"beam: {{{box(15, 0, 40)}, {CLIP}}}")
    assert sum(one.get("stroke") == "#b00020" for one in root.iter(f"{SVG}g")) == 2
    assert "A: low with what rides along" in " ".join(words(root))
    assert "runs into beam, with rider, which rides along" in " ".join(words(root))


@pytest.mark.parametrize("lengths", ["reach: 30", "draw: 30", "reach: 25, swing: 40"])
def test_a_tool_a_fastener_and_a_handle_are_drawn_from_their_spot(lengths):
    root = drawn(JOINT % lengths, LID)
    assert sum(one.get("r") == "3" for one in root.iter(f"{SVG}circle")) == 2
    dashed = [one for one in root.iter(f"{SVG}line") if one.get("stroke-dasharray")]
    assert len(dashed) >= 2


def test_a_move_aside_is_drawn():
    part = f"low: {{{box(0, 0, 0)}, {CLIP}, aside: {{by: [50, 50, 0]}}}}"
    root = drawn(part, f"post: {{{box(25, 25, 0)}, {CLIP}}}")
    assert "post" in " ".join(words(root))


def test_nothing_found_draws_all_that_is_placed_with_its_names():
    root = drawn(LOW, f"far: {{{box(50, 0, 0)}, {CLIP}}}")
    assert "1\N{NO-BREAK SPACE}low · 2\N{NO-BREAK SPACE}far" in words(root)


def test_nothing_placed_is_still_a_sheet():
    assert "Nothing" in " ".join(words(drawn(f"low: {{{CLIP}}}")))


def test_names_come_out_as_text_and_odd_scripts_stay():
    root = drawn(LOW, f'lid: {{label: "<b>泵 & \\"lid\\"", {box(0, 0, 20)}, {CLIP}}}')
    assert any('<b>泵 & "lid"' in line for line in words(root))


def test_all_stands_inside_the_sheet_and_there_are_at_most_twelve_findings():
    lids = [f"lid{n}: {{{box(0, 0, 20 + 20 * n)}, out: +z, {CLIP}}}" for n in range(20)]
    root = drawn(LOW, *lids)
    _, _, width, height = map(float, root.get("viewBox").split())
    assert width == WIDTH == 480
    numbered = [line for line in words(root) if re.match(r"\d+\. ", line)]
    assert len(numbered) == MOST
    assert any("more are in the report" in line for line in words(root))
    for text in root.iter(f"{SVG}text"):
        assert 0 < float(text.get("x")) < width
        assert 0 < float(text.get("y")) < height
        assert float(text.get("x")) + 0.55 * float(text.get("font-size")) * len(text.text) < width + 12


@pytest.mark.parametrize("out", ["[0, 1, 2]", "[+z, +x]"])
def test_a_slanted_way_and_one_in_two_legs_are_drawn(out):
    over, beside = box(-50, -50, 20, 200, 200, 1), box(12, -50, 0, 1, 200, 90)
    walls = f"walls: {{box: [{over[5:]}, {beside[5:]}], {CLIP}}}"
    part = f"low: {{{box(0, 0, 0)}, out: {out}, {CLIP}}}"
    root = drawn(part, walls)
    assert any(one.get("stroke-dasharray") for one in root.iter(f"{SVG}rect"))
    assert "walls" in " ".join(words(root))


def test_a_bracket_is_drawn_as_what_it_fills_and_not_as_the_box_around_it():
    """An L of two plates: 140 long and 10 thick, and at its end 10 long and 90 high."""
    plates = [((0, 0, 0), (130, 10, 60)), ((130, 0, 0), (140, 90, 60))]
    shape = Shape.of_boxes(*(np.array(some, dtype=float) for some in zip(*plates, strict=True)))
    assert sliced(shape.triangles).tolist() == [[0, 0, 0, 130, 10, 60], [130, 0, 0, 140, 90, 60]]
