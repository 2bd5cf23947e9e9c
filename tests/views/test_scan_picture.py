"""The drawing of a scan: well-formed, marked without colour, names as text, no wider than a phone reads."""

import re
from itertools import combinations
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from sequencer.graph.geometry import scan
from sequencer.graph.geometry.shapes import Shape
from sequencer.render.pictures.barring.letters import width_of
from sequencer.render.pictures.barring.scene import Rect
from sequencer.render.pictures.scan import MOST, WIDTH, scan_picture
from sequencer.render.pictures.slices import sliced
from tests.graph.geometry.test_seen import CLIP, JOINT, LOW, box, made
from tests.support.profile import counts

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
    assert "1 low · 2 far" in words(root)


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


SMALLEST = 7 / 0.75
"""Units that are 7 points on a sheet printed as large as it says: one is 3/4 of a point (CSS 2.2, px)."""


def label_of(text):
    """The room of a text of the sheet, as letters are wide that any font may have."""
    size, bold = float(text.get("font-size")), text.get("font-weight") == "bold"
    wide = width_of(text.text, size, bold=bold)
    left = float(text.get("x")) - (wide / 2 if text.get("text-anchor") == "middle" else 0)
    return Rect(left, float(text.get("y")) - 0.75 * size, wide, 0.9 * size)


def faults_of(root):
    """Labels over labels, off the sheet or the view, too small, or with a leader through them."""
    texts = list(root.iter(f"{SVG}text"))
    rooms = [label_of(text) for text in texts]
    _, _, wide, tall = map(float, root.get("viewBox").split())
    views = [rect_of(clip[0]) for clip in root.iter(f"{SVG}clipPath")]
    for text, room in zip(texts, rooms, strict=True):
        if float(text.get("font-size")) < SMALLEST:
            yield f"small: {text.text}"
        if not any(within(room, one) for one in (views if is_label(text) else [Rect(0, 0, wide, tall)])):
            yield f"over the edge: {text.text}"
    for (one, room), (other, also) in combinations(zip(texts, rooms, strict=True), 2):
        badges = is_label(one) and is_label(other) and one.text + other.text in ("AB", "BA")
        if room.meets(also, 0.2) or (badges and abs(room.x - also.x) < 15 and abs(room.y - also.y) < 15):
            yield f"{one.text} over {other.text}"
    for line in (one for one in root.iter(f"{SVG}line") if one.get("class") == "leader"):
        x, y, u, v = (float(line.get(key)) for key in ("x1", "y1", "x2", "y2"))
        points = [Rect(x + (u - x) * n / 40, y + (v - y) * n / 40, 0, 0) for n in range(41)]
        for text, room in zip(texts, rooms, strict=True):
            if any(point.meets(room, 0.5) for point in points):
                yield f"a leader through {text.text}"


def is_label(text):
    return text.get("text-anchor") == "middle"


def within(one, other):
    return one.x >= other.x and one.right <= other.right and one.y >= other.y and one.bottom <= other.bottom


def rect_of(one):
    return Rect(*(float(one.get(key)) for key in ("x", "y", "width", "height")))


def grid(columns, rows, step, size=10):
    return [
        f"p{n}: {{{box(step * (n % columns), step * (n // columns), 0, size, size)}, {CLIP}}}"
        for n in range(columns * rows)
    ]


BENCH = f"bench: {{{box(-300, -300, -50, 800, 800, 5)}, {CLIP}}}"
SPECK = f"low: {{{box(0, 0, 0, 1, 1, 1)}, out: +z, {CLIP}}}"
SCENES = {
    "one part": [f"low: {{{CLIP}, {box(0, 0, 0)}}}"],
    "a finding": [LOW, LID],
    "a tool": [JOINT % "reach: 25, swing: 40", LID],
    "specks": [SPECK, f"lid: {{{box(0, 0, 2, 1, 1, 1)}, {CLIP}}}", BENCH],
    "flat and long": [LOW, f"lid: {{{box(-900, 0, 20, 1000, 1, 1)}, {CLIP}}}"],
    "many findings": [LOW, *(f"lid{n}: {{{box(0, 0, 20 + 20 * n)}, out: +z, {CLIP}}}" for n in range(12))],
    "twelve in one place": [f"n{n}: {{{box(0, 0, 0)}, {CLIP}}}" for n in range(12)],
    "crowded": grid(10, 6, 12),
    "300 parts": grid(20, 15, 12),
    "names": [
        f'low: {{label: "{"泵" * 60}", {box(0, 0, 0)}, out: +z, {CLIP}}}',
        f'lid: {{label: "{"Pumpe_" * 20}", {box(0, 0, 20)}, {CLIP}}}',
    ],
}
DRAWN = counts(
    quick=("a tool", "specks", "twelve in one place", "names"), landing=tuple(SCENES), nightly=tuple(SCENES)
)


@pytest.mark.parametrize("scene", DRAWN)
def test_no_label_is_over_another_or_over_the_edge_too_small_or_run_through(scene):
    root = drawn(*SCENES[scene])
    assert list(faults_of(root)) == []
    if scene in ("a finding", "a tool", "specks", "flat and long"):
        assert words(root).count("A") == words(root).count("B") == 2


def test_what_has_no_room_for_its_number_is_named():
    told = " ".join(words(drawn(*SCENES["twelve in one place"])))
    numbered = {int(one) for one in re.findall(r"(\d+) n\d+", told)}
    missing = re.search(r"No room for a number: (.*)", told)
    assert len(numbered) + len(re.findall(r"n\d+", missing[1] if missing else "")) == 12
