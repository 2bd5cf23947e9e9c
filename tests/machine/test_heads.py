"""The tool that a head asks for."""

import pytest

from sequencer.job.changes.finds import held
from sequencer.job.now.acts import RefusedError
from sequencer.machine.model import HAND, Tool
from sequencer.machine.survey.joint_line import parse_joints
from sequencer.machine.survey.short_lines import AnswerError
from sequencer.machine.trade.heads import no_tool, tool_for
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.machine.trade.tables import table
from sequencer.plan.closing.toolbox import drives_for
from sequencer.spoken import Context, read
from sequencer.torque.wrenches.toolbox_file import read_toolbox
from tests.support.profile import before_landing, counts


@pytest.mark.parametrize(
    ("head", "tool"),
    [
        ("10", Tool("socket-10", "10 mm socket", "ratchet", across_mm=10.0)),
        ("10 mm", Tool("socket-10", "10 mm socket", "ratchet", across_mm=10.0)),
        ("10mm", Tool("socket-10", "10 mm socket", "ratchet", across_mm=10.0)),
        ("10.0", Tool("socket-10", "10 mm socket", "ratchet", across_mm=10.0)),
        ("5.5", Tool("socket-5.5", "5.5 mm socket", "ratchet", across_mm=5.5)),
        ("1/2 in", Tool("socket-1/2in", "1/2 in socket", "ratchet", across_mm=12.7)),
        ('7/16"', Tool("socket-7/16in", "7/16 in socket", "ratchet", across_mm=11.1125)),
        ("4/8 in", Tool("socket-1/2in", "1/2 in socket", "ratchet", across_mm=12.7)),
        ("1 1/8 in", Tool("socket-1-1/8in", "1-1/8 in socket", "ratchet", across_mm=28.575)),
        ("T25", Tool("T-25", "T25 bit", "ratchet")),
        ("t 25", Tool("T-25", "T25 bit", "ratchet")),
        ("E10", Tool("E-10", "E10 socket", "ratchet", across_mm=10.0)),
        ("allen 6", Tool("allen-6", "6 mm hex bit", "ratchet")),
        ("Allen 6 mm", Tool("allen-6", "6 mm hex bit", "ratchet")),
        ("allen 1/4 in", Tool("allen-1/4in", "1/4 in hex bit", "ratchet")),
        ("PH2", Tool("PH-2", "PH2 screwdriver", "screwdriver")),
        ("PZ 2", Tool("PZ-2", "PZ2 screwdriver", "screwdriver")),
        ("slot", Tool("slot", "flat screwdriver", "screwdriver")),
        ("12pt 10", Tool("bihex-10", "10 mm 12-point socket", "ratchet", across_mm=10.0)),
        ("hand", Tool("hand", "by hand", None)),
    ],
)
def test_a_head_asks_for_its_tool(head, tool):
    assert tool_for(head) == tool


def test_a_small_hexagon_may_be_that_of_a_key_so_the_file_says_which_and_what_is_said_is_asked():
    assert tool_for("5 mm hex") is None
    assert "write allen 5 for a key" in no_tool("5 mm hex")[1]
    with pytest.raises(RefusedError, match="5 mm hex"):
        held("screw 5 mm hex x2")
    question = read("cover off, 2 screws 5 mm hex", Context({})).question
    assert question.choices == ("allen 5", "5 mm")
    assert tool_for("5 mm hex head") == tool_for("5")
    assert tool_for("13 mm hex") == tool_for("13")


def test_a_kind_that_a_socket_can_not_go_over_asks_for_a_spanner():
    assert tool_for("17", spanner=True) == Tool("spanner-17", "17 mm flare-nut spanner", None, across_mm=17.0)
    assert tool_for("T25", spanner=True) == tool_for("T25")


@pytest.mark.parametrize(
    "head", ["", "0", "200", "T26", "E9", "PH9", "1/0 in", "M8", "hex 6", "ten", "1" * 50, "-10"]
)
def test_no_tool_fits_a_head_that_is_not_made(head):
    assert tool_for(head) is None
    problem, remedy = no_tool(head)
    assert "head" in problem
    assert remedy


def test_the_nearest_sizes_that_are_made_are_named():
    assert no_tool("E9")[1] == "the nearest that are made are E7, E8, E10"


def forms():
    """Every form of the table, with sizes that are made."""
    for row in table("heads")["head"]:
        marks = row.get("sizes", [""])
        sizes = {"mm": ("6", "5.5"), "inch": ("1/2",), "mark": (marks[len(marks) // 2],), "": ("",)}
        written = (*row["forms"], *row.get("filed", ()))
        yield from (form.format(size=size) for form in written for size in sizes[row["size"]])


def understood(joint):
    if joint.head is None:
        return HAND if joint.hand or kind_of_joint(joint.kind).by_hand else None
    return tool_for(joint.head).name


@before_landing
@pytest.mark.parametrize("said", list(forms())[:: counts(quick=4, landing=1, nightly=1)])
def test_each_form_means_the_same_in_a_file_the_survey_what_is_found_or_told_and_a_toolbox(said):
    tool = tool_for(said)
    lines = [f"2 screws {said}"]
    if "hex" in said or not said.endswith(" socket"):  # else a socket screw: its hexagon is inside
        lines.append(f"2 {said} screws")
    for line in lines:
        (joint,) = parse_joints(line)
        assert (joint.count, understood(joint)) == (2, tool.name), line
        assert joint.kind in ("screw", "latch"), line  # a thumb screw is a latch, undone by hand too
    fields = held(f"screw {said} x2")
    assert fields["count"] == 2
    assert tool_for(str(fields.get("head", HAND))) == tool
    (did,) = read(f"cover off, 2 screws {said}", Context({"cover": "Cover"})).said
    assert [(one.count, HAND if one.head == HAND else understood(one)) for one in did.joints] == [
        (2, tool.name)
    ]
    box = read_toolbox({"sockets": {"1/2": [said]}}, str)
    assert drives_for(box, tool.name)


@pytest.mark.parametrize(
    ("line", "head", "count"),
    [
        ("12pt 10 bolt", "12pt 10", 1),
        ("10 mm bolt", "10", 1),
        ("10 allen bolts", None, 10),
        ("4xT25 screws", "T25", 4),
        ("2 1/2 in bolts", "1/2 in", 2),
        ("2 nuts 1-1/8 in", "1-1/8 in", 2),
        ("2 nuts 1 1/8", "1-1/8 in", 2),
        ("2 1 1/8 nuts", "1-1/8 in", 2),
        ("3 phillips screws", None, 3),
        ("6 allen bolts, 5 mm", "allen 5", 6),
        ("three torx 30 screws", "T30", 3),
        ("2 screws cross", None, 2),
        ("4 10s", "10", 4),
        ("nuts 2x10", "10", 2),
        ("2 bolts in the cover", None, 2),
        ("2 XZN 14 screws", "spline 14", 2),
        ("bolt spline M10", "spline 10", 1),
        ("2 cross-headed screws", None, 2),
    ],
)
def test_counts_and_heads_are_told_apart(line, head, count):
    (joint,) = parse_joints(line)
    assert (joint.head, joint.count) == (head, count)


@pytest.mark.parametrize(
    ("line", "torque", "prevailing"),
    [
        ("2 bolts 10, 106in-lb.", "106 lbf.in", None),
        ("2 bolts 10 and 47,5 N*m", "47.5 N.m", None),
        ("2 bolts 10, 47Nm, 3,5 Nm prevailing", "47 N.m", "3.5 Nm"),
    ],
)
def test_a_torque_by_itself_belongs_to_the_joint_before_it(line, torque, prevailing):
    (joint,) = parse_joints(line)
    assert (joint.count, joint.torque, joint.prevailing) == (2, torque, prevailing)


@pytest.mark.parametrize("line", ["screw T999", "2 screws T26 tamper", "bolt E9"])
def test_a_head_that_is_not_made_is_refused_in_the_survey_and_in_what_is_found(line):
    with pytest.raises(AnswerError, match="no tool fits"):
        parse_joints(line)
    with pytest.raises(RefusedError, match="no tool fits"):
        held(line)


def test_a_head_without_a_size_is_said_and_not_written():
    assert tool_for("phillips") is None
    assert no_tool("phillips")[1] == "write PH2, if that is what it is"
