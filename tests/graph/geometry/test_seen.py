"""What the boxes of small machines show, and how it is held against what they say."""

import pytest

from sequencer.graph.geometry import scan
from tests.machine.texts import machine

CLIP = "joints: {clip: {kind: clip}}"


def made(*parts):
    return machine("machine: m\nparts:\n" + "".join(f"  {part}\n" for part in parts))


def found(*parts):
    return [
        (seen.holder, seen.key, " or ".join(str(atom) for atom in seen.any_of))
        for seen in scan(made(*parts)).hidden
    ]


def box(x, y, z, a=10, b=10, c=10):
    return f"box: {{at: [{x}, {y}, {z}], size: [{a}, {b}, {c}]}}"


LOW = f"low: {{{box(0, 0, 0)}, out: +z, {CLIP}}}"


def test_what_lies_over_a_part_traps_it_and_what_touches_beside_it_does_not():
    assert found(LOW, f"lid: {{{box(5, 5, 30)}, {CLIP}}}") == [("low", "trapped_by", "lid")]
    assert found(LOW, f"lid: {{{box(10, 0, 0, c=100)}, {CLIP}}}") == []
    assert found(LOW, f"lid: {{{box(0, 0, -30)}, {CLIP}}}") == []


def test_several_boxes_are_one_part():
    two = "box: [{at: [50, 0, 0], size: [1, 1, 1]}, {at: [0, 0, 20], size: [10, 10, 1]}]"
    assert found(LOW, f"lid: {{{two}, {CLIP}}}") == [("low", "trapped_by", "lid")]


def test_the_least_state_that_clears_the_way_is_asked_for():
    lid = "lid: {%s, joints: {clip: {kind: clip}}, loose: {by: [0, 0, 5]}, aside: {by: [%s, 0, 0]}}"
    assert found(LOW, lid % (box(0, 0, 20), 30)) == [("low", "trapped_by", "lid=aside")]
    assert found(LOW, lid % (box(0, 0, 20), 9)) == [("low", "trapped_by", "lid")]
    slid = lid.replace("[0, 0, 5]", "[10, 0, 0]")
    assert found(LOW, slid % (box(0, 0, 20), 30)) == [("low", "trapped_by", "lid=loose")]


def test_a_free_way_out_is_enough_and_without_one_any_of_each_way_is_asked_for():
    part = f"low: {{{box(0, 0, 0)}, out: [+z, -y], {CLIP}}}"
    over, front = f"lid: {{{box(0, 0, 20)}, {CLIP}}}", f"bar: {{{box(0, -10, 0, c=90)}, {CLIP}}}"
    assert found(part, over) == []
    assert found(part, over, front) == [("low", "trapped_by", "lid or bar")]
    second = f"grid: {{{box(0, 0, 40)}, {CLIP}}}"
    assert found(part, over, second, front) == [
        ("low", "trapped_by", "lid or bar"),
        ("low", "trapped_by", "grid or bar"),
    ]
    both = (
        f"wrap: {{box: [{{at: [0, 0, 20], size: [1, 1, 1]}}, {{at: [0, -9, 0], size: [1, 1, 90]}}], {CLIP}}}"
    )
    assert found(part, both, over, front) == [
        ("low", "trapped_by", "wrap"),
        ("low", "trapped_by", "lid or bar"),
    ]


def test_a_written_any_that_says_as_much_agrees():
    part = f"low: {{{box(0, 0, 0)}, out: [+z, -y], trapped_by: [{{any: [bar, lid]}}], {CLIP}}}"
    result = scan(made(part, f"lid: {{{box(0, 0, 20)}, {CLIP}}}", f"bar: {{{box(0, -10, 0, c=90)}, {CLIP}}}"))
    assert (result.hidden, result.doubts, len(result.agreed)) == ((), (), 1)


JOINT = "low: {joints: {bolt: {kind: bolt, head: 13, at: [5, 5, 0], axis: +z, %s}}}"


@pytest.mark.parametrize(
    ("lengths", "lid", "seen"),
    [
        ("reach: 20", box(0, 0, 20), False),  # the tool's end touches it
        ("reach: 21", box(0, 0, 20), True),
        ("draw: 21", box(0, 0, 20), True),
        ("reach: 10, swing: 40", box(30, 0, 5), False),  # five sixths of a turn are free
        ("reach: 10, swing: 40", box(-35, -35, 5, 80, 80), True),
        ("reach: 10, swing: 40", box(-35, -35, 10, 80, 80), False),  # the handle turns in the face below it
        ("swing: 40", box(-35, -35, -5, 80, 80), True),
        ("reach: 20", box(5, 0, 5), True),  # a 13 mm socket is 19 mm across
        ("reach: 20", box(15, 0, 5), False),  # 10 mm from its middle
        ("draw: 20", box(5, 0, 5), False),  # the bolt comes out along its face
    ],
)
def test_tools_and_fasteners_need_their_way(lengths, lid, seen):
    expected = [("low/bolt", "behind", "lid")] if seen else []
    assert found(JOINT % lengths, f"lid: {{{lid}, {CLIP}}}") == expected


def test_each_of_several_fasteners_is_tried():
    bolts = "{kind: bolt, head: 13, count: 2, at: [[-50, 5, 0], [5, 5, 0]], axis: +z, reach: 30}"
    lid = f"lid: {{{box(0, 0, 20)}, {CLIP}}}"
    assert found(f"low: {{joints: {{bolts: {bolts}}}}}", lid) == [("low/bolts", "behind", "lid")]


def test_a_joints_room_is_gone_once_it_is_undone_and_goes_along_with_its_part():
    plug = "joints: {plug: {kind: connector, %s}}, aside: {joints: [], by: [%s, 0, 0]}"
    still = f"lid: {{{plug % (box(0, 0, 20), 0)}}}"
    assert found(LOW, still) == [("low", "trapped_by", "lid/plug")]
    assert found(LOW, f"lid: {{{plug % (box(0, 0, 20), 50)}}}") == [
        ("low", "trapped_by", "lid/plug or lid=aside")
    ]


def test_a_joint_of_its_own_part_can_bar_a_joint_but_the_parts_body_never_does():
    arm = "arm: {kind: bolt, head: 13, at: [5, 5, 0], axis: +z, reach: 30}"
    joints = f"joints: {{{arm}, plug: {{kind: clip, {box(0, 0, 20)}}}}}"
    assert found(f"low: {{{box(0, 0, 5)}, {joints}}}") == [("low/arm", "behind", "low/plug")]


def test_where_a_part_is_moved_to_must_be_free():
    part = f"low: {{{box(0, 0, 0)}, {CLIP}, aside: {{by: [50, 50, 0]}}}}"
    assert found(part, f"post: {{{box(25, 25, 0)}, {CLIP}}}") == [("low", "behind", "post")]
    assert found(part, f"post: {{{box(40, 0, 0)}, {CLIP}}}") == []  # beside the slanted way


def test_what_follows_from_other_needs_agrees():
    low = f"low: {{{box(0, 0, 0)}, out: +z, behind: [lid], {CLIP}}}"
    lid = f"lid: {{{box(0, 0, 20)}, out: +z, behind: [roof], {CLIP}}}"
    result = scan(made(low, lid, f"roof: {{{box(0, 0, 40)}, {CLIP}}}"))
    told = {(one.seen.holder, str(one.seen.any_of[0])): one.written is not None for one in result.agreed}
    assert result.hidden == ()
    assert told == {("low", "lid"): True, ("low", "roof"): False, ("lid", "roof"): True}


def test_one_end_of_a_hose_answers_for_the_hose_but_not_for_what_has_room_of_its_own():
    hose = f"hose: {{{box(0, 0, 20)}, joints: {{end: {{kind: hose%s}}}}}}"
    low = f"low: {{{box(0, 0, 0)}, out: +z, trapped_by: [hose/end], {CLIP}}}"
    assert found(low, hose % "") == []
    assert found(low, hose % f", {box(0, 0, 40)}") == [("low", "trapped_by", "hose")]


def test_too_little_is_no_answer():
    lid = f"lid: {{{box(0, 0, 20)}, {CLIP}, loose: {{by: [0, 0, 5]}}}}"
    low = f"low: {{{box(0, 0, 0)}, out: +z, trapped_by: [{{lid: loose}}], {CLIP}}}"
    assert found(low, lid) == [("low", "trapped_by", "lid")]
    assert found(low, lid.replace("{by: [0, 0, 5]}", "{}")) == []  # nobody said where it goes


def test_written_and_not_seen_is_a_doubt_where_both_ends_have_geometry():
    low = f"low: {{{box(0, 0, 0)}, out: +z, trapped_by: [lid], behind: [far], {CLIP}}}"
    result = scan(made(low, f"lid: {{{box(50, 0, 20)}, {CLIP}}}", f"far: {{{CLIP}}}"))
    (doubt,) = result.doubts
    assert (doubt.holder, str(doubt.need), doubt.free) == ("low", "lid", ("+z",))
    assert (len(result.unjudged), result.bare) == (1, ("far",))


def test_more_asked_for_than_is_seen_is_a_doubt_that_says_what_would_do():
    lid = f"lid: {{{box(0, 0, 20)}, {CLIP}, aside: {{by: [30, 0, 0]}}}}"
    result = scan(made(f"low: {{{box(0, 0, 0)}, out: +z, trapped_by: [lid], {CLIP}}}", lid))
    assert result.hidden == ()
    assert [str(doubt.less) for doubt in result.doubts] == ["lid=aside"]


def test_parts_inside_each_other_are_told_and_do_not_bar_each_other():
    result = scan(made(LOW, f"lid: {{{box(0, 0, 5, c=50)}, {CLIP}}}"))
    assert (result.hidden, result.inside) == ((), (("low", "lid"),))
