"""A job held against a toolbox: missing tools, and the wrench for each joint with a torque."""

from datetime import date
from pathlib import Path

import pytest

from sequencer.graph import parse_targets
from sequencer.machine import read_text
from sequencer.machine.trade.heads import tool_for
from sequencer.machine.trade.tables import table
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.closing.toolbox import drives_for, equipment, load_toolbox, wrenches_for
from sequencer.torque.wrenches.toolbox_file import ToolboxError, read_toolbox
from tests.support.profile import before_landing

ROOT = Path(__file__).parents[2]
TODAY = date(2024, 6, 1)

BENCH = """
machine: Bench
tools: {wood: {label: Wooden wedge, drive: none}}
parts:
  lid:
    joints:
      low:   {kind: bolt, head: 13, count: 2, torque: {stages: [12 N.m, 24 N.m]}}
      high:  {kind: bolt, head: 16, torque: 40 N.m}
      angle: {kind: bolt, head: T55, torque: {stages: [90 deg]}}
      hose:  {kind: union, head: 13}
      wedge: {kind: fastener, tool: wood}
      cross: {kind: screw, head: PH2}
      free:  {kind: clip}
"""


def box(**sections):
    return read_toolbox(sections, lambda path: "/".join(map(str, path)))


SMALL = {"range": "5 to 25 N.m", "graduation": "0.5", "drive": "1/4 in", "calibrated": "2024-03-01"}
LONG = {"range": "20 to 100 lbf.ft", "graduation": "1", "drive": "1/2 in", "calibrated": "2023-05-20"}


def lid():
    machine = read_text(BENCH).machine
    way_in = plan_teardown(machine, parse_targets(machine, ["lid"]))
    return machine, way_in, plan_refit(way_in)


@before_landing
def test_what_the_box_lacks_is_named_once_in_the_order_of_need():
    _, way_in, way_back = lid()
    kit = equipment(way_in, box(), TODAY)
    assert sorted(kit.missing) == ["PH-2", "T-55", "socket-13", "socket-16", "spanner-13", "wood"]
    assert list(kit.missing) == [tool for tool in way_in.tools if tool in kit.missing]
    assert sorted(equipment(way_back, box(), TODAY).missing) == sorted(kit.missing)


def test_a_socket_counts_in_any_spelling_where_there_is_something_to_turn_it():
    _, way_in, _ = lid()
    sockets = {"1/2 in": ["13 mm", "16", "T55"]}
    assert "socket-13" in equipment(way_in, box(sockets=sockets), TODAY).missing
    have = equipment(way_in, box(sockets=sockets, drives=["1/2 in"]), TODAY).missing
    assert sorted(have) == ["PH-2", "spanner-13", "wood"]
    assert sorted(equipment(way_in, box(sockets=sockets, wrenches={"long": LONG}), TODAY).missing) == sorted(
        have
    )


def test_other_tools_count_by_name_by_label_and_screwdrivers_by_their_head():
    _, way_in, _ = lid()
    for words in (["wood", "spanner-13", "PH-2"], ["Wooden wedge", "13 mm flare-nut spanner", "PH2"]):
        missing = equipment(way_in, box(tools=words), TODAY).missing
        assert {"wood", "spanner-13", "PH-2"}.isdisjoint(missing)
        assert "socket-13" in missing


def test_a_flare_nut_spanner_is_no_socket_and_a_socket_no_spanner():
    _, way_in, _ = lid()
    have = equipment(way_in, box(sockets={"1/4 in": ["13"]}, drives=["1/4 in"]), TODAY)
    assert "spanner-13" in have.missing
    assert "socket-13" in equipment(way_in, box(tools=["13"]), TODAY).missing


def test_one_wrench_is_set_for_all_stages_of_a_joint_where_one_serves():
    machine, _, _ = lid()
    both = box(wrenches={"small": SMALL, "middle": {"range": "10 to 50 N.m", "accuracy": "3 %"}})
    found = wrenches_for(machine.joint("lid", "low"), both, TODAY)
    assert [stage.setting.wrench.name for stage in found.stages] == ["middle", "middle"]
    assert [stage.setting.scale_text for stage in found.stages] == ["12 N.m", "24 N.m"]


def test_a_setting_is_in_the_unit_on_the_wrench_and_overdue_is_said():
    machine, _, _ = lid()
    found = wrenches_for(machine.joint("lid", "high"), box(wrenches={"small": SMALL, "long": LONG}), TODAY)
    (stage,) = found.stages
    # 40 N·m is 29.5 lbf·ft (SP 811: 1.355 818 N·m); on a scale of whole marks.
    assert (stage.setting.scale_text, stage.overdue) == ("30 lbf.ft", True)
    assert stage.setting.cautions == ("long is due for calibration: last done on 2023-05-20, 12 months ago",)
    day_before = wrenches_for(machine.joint("lid", "high"), box(wrenches={"long": LONG}), date(2024, 5, 19))
    assert day_before.stages[0].overdue is False


def test_a_joint_that_no_wrench_serves_says_what_each_is_good_for():
    _, way_in, way_back = lid()
    for plan in (way_in, way_back):
        kit = equipment(plan, box(wrenches={"small": SMALL}), TODAY)
        assert [gate.joint for gate in kit.unserved] == ["lid/high"]
        (stage,) = kit.wrenches["lid/high"].stages
        assert stage.message == "40 N.m is above the 5 to 25 N.m that small is good for"
        assert kit.cautions == ()


def test_a_stage_by_angle_asks_for_no_torque_wrench():
    machine, _, _ = lid()
    found = wrenches_for(machine.joint("lid", "angle"), box(), TODAY)
    assert (found.stages, found.served) == ((), True)


def test_a_socket_in_another_drive_than_the_wrenchs_is_said():
    machine, _, _ = lid()
    mixed = box(wrenches={"small": SMALL}, sockets={"1/2 in": ["13"], "3/8 in": ["13 mm"]})
    assert drives_for(mixed, "socket-13") == ("1/2 in", "3/8 in")
    assert wrenches_for(machine.joint("lid", "low"), mixed, TODAY).drives == ("1/2 in", "3/8 in")
    fitting = box(wrenches={"small": SMALL}, sockets={"1/4 in": ["13"], "1/2 in": ["13"]})
    assert wrenches_for(machine.joint("lid", "low"), fitting, TODAY).drives == ()


def test_the_example_is_read_and_serves_what_it_says():
    found = load_toolbox(ROOT / "examples" / "toolbox.yaml")
    assert [wrench.name for wrench in found.wrenches] == ["small clicker", "long clicker"]
    assert found.wrenches[0].cycles == 1200
    assert found.owns("belt-bar")


def faults(tmp_path, text):
    path = tmp_path / "box.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(ToolboxError) as caught:
        load_toolbox(path)
    return [str(fault).replace(str(path), "box.yaml") for fault in caught.value.faults]


def test_all_faults_come_at_once_each_with_line_and_column(tmp_path):
    text = """wrenches:
  small: {range: 5 to 25}
  long:
    range: 30 to 150 lbf.ft
    calibrated: last spring
    lenght: 400 mm
drives: [1/4 in]
drives: [1/2 in]
"""
    found = faults(tmp_path, text)
    assert [fault.split(": ")[0] for fault in found] == [
        "box.yaml:8:1",
        "box.yaml:2:18",
        "box.yaml:6:13",
        "box.yaml:5:17",
    ]
    assert "`drives` is here a second time; the first is in line 7" in found[0]
    assert "did you mean length?" in found[2]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"\x00\x01", "this is not text"),
        (b"\xff\xfea\x00", "the file is in UTF-16"),
        (b"tools: [" + b"x, " * 300_000 + b"]", "KiB long"),
        ("a: &a [x]\nb: *a\n", "an anchor"),
        ("tools: !!python/object:os.system [x]\n", "a tag"),
        ("- 1\n", "a mapping is expected here"),
        ("tools: [a\n", "box.yaml:"),
        ("[" * 100, "nested more than 40 levels deep"),
        ('tools: ["a\\x07b"]\n', "control character"),
    ],
)
def test_a_hostile_file_is_refused_with_a_fault_and_no_more(tmp_path, text, says):
    assert says in "\n".join(faults(tmp_path, text))


def test_a_file_that_is_not_there_or_a_folder_is_said(tmp_path):
    with pytest.raises(ToolboxError, match=r"none.yaml:1:1: there is no such file"):
        load_toolbox(tmp_path / "none.yaml")
    with pytest.raises(ToolboxError, match="this is a folder"):
        load_toolbox(tmp_path)


def test_an_empty_file_is_an_empty_toolbox(tmp_path):
    path = tmp_path / "box.yaml"
    path.write_text("", encoding="utf-8")
    assert load_toolbox(path).wrenches == ()


def test_a_socket_counts_in_every_form_that_a_head_may_have():
    for row in table("heads")["head"]:
        marks = row.get("sizes", [""])
        size = {"mm": "6", "inch": "1/2", "mark": marks[len(marks) // 2], "": ""}[row["size"]]
        for form in row["forms"]:
            head = form.format(size=size)
            if tool_for(head).name != "hand":
                assert drives_for(box(sockets={"1/2 in": [head]}), tool_for(head).name), head
