"""What the commands print: JSON as the guide says, text on standard output, warnings apart from both."""

import json
import re
from pathlib import Path

import pytest

from sequencer.machine.reading import load
from tests.support.profile import before_landing

PUMP = "examples/bench-pump.yaml"
GUIDE = Path(__file__).resolve().parent.parent.parent / "examples" / "guide" / "commands.md"
JOB = (PUMP, "--off", "seal")


@pytest.fixture
def plan(sequencer):
    return json.loads(sequencer("plan", *JOB, "--json").out)


@pytest.fixture
def refit(sequencer):
    return json.loads(sequencer("refit", *JOB, "--json", "--torque-unit", "lbf.ft").out)


def test_the_fixed_part_of_the_json_is_there(plan):
    for step in plan["steps"]:
        assert {"op", "position", "tool", "seconds", "change_seconds"} <= set(step)
        kinds = "task|restore|drain|crack|slacken|loosen|undo|move-aside|remove"
        assert re.fullmatch(rf"({kinds}) [^ ]+", step["op"])
    fixed = {"seconds", "tool_changes", "reach_arounds", "practice_seconds", "range_seconds"}
    assert set(plan["totals"]) == fixed | {"likely_seconds", "uncertain"}
    assert plan["proven"] is True
    assert plan["bound_seconds"] == plan["totals"]["seconds"]


@pytest.mark.parametrize("which", ["plan", "refit"])
def test_the_steps_add_up_to_the_totals_and_fill_the_stations(which, request):
    data = request.getfixturevalue(which)
    spent = sum(step["seconds"] + step["change_seconds"] for step in data["steps"])
    assert spent == pytest.approx(data["totals"]["seconds"], abs=1e-6)
    assert sum(station["seconds"] for station in data["stations"]) == pytest.approx(spent, abs=1e-6)
    assert [n for station in data["stations"] for n in station["steps"]] == [
        step["number"] for step in data["steps"]
    ]


@before_landing
@pytest.mark.parametrize("which", ["plan", "refit"])
def test_every_json_key_is_in_the_guide(which, request):
    section = GUIDE.read_text(encoding="utf-8").partition("\n## Plans as JSON\n")[2].partition("\n## ")[0]

    def keys(data, named=False):
        if isinstance(data, list):
            return {key for one in data for key in keys(one)}
        if not isinstance(data, dict):
            return set()
        own = set() if named else set(data)
        return own | {
            key
            for name, value in data.items()
            for key in keys(value, name in ("positions", "tools", "fluids"))
        }

    data = request.getfixturevalue(which)
    assert {key for key in keys(data) if f"`{key}`" not in section and f"[].{key}`" not in section} == set()


def test_every_gate_has_its_torque_and_the_step_that_closes_it_off(refit):
    machine = load(Path(PUMP))
    torqued = {
        joint.path for part in machine.parts.values() for joint in part.joints.values() if joint.torque
    }
    assert {gate["joint"] for gate in refit["gates"]} == torqued
    by_number = {step["number"]: step for step in refit["steps"]}
    for gate in refit["gates"]:
        part, _, name = gate["joint"].partition("/")
        assert gate["stages"] == [stage.text for stage in machine.joint(part, name).torque.stages]
        assert "lbf.ft (" in gate["shown"]
        if gate["last_step"] is not None:
            assert gate["joint"] in by_number[gate["last_step"]]["closes_off"]


def test_where_a_time_is_from_is_said_of_every_step(plan):
    machine = load(Path(PUMP))
    for step in plan["steps"]:
        if step["joint"]:
            assert step["seconds_from"] == machine.joint(step["part"], step["joint"]).seconds_from
        elif step["kind"] == "remove":
            assert step["seconds_from"] == machine.parts[step["part"]].seconds_from


def test_warnings_go_to_the_error_stream_and_leave_the_json_whole(sequencer, write):
    path = write("machine: Test\nparts:\n  lid:\n  box: {behind: [lid], joints: {b: {kind: widget}}}\n")
    ran = sequencer("plan", path, "--off", "box", "--json")
    assert ran.code == 0
    assert [step["op"] for step in json.loads(ran.out)["steps"]] == ["remove lid", "undo box/b", "remove box"]
    assert f"{path}:3:3: warning: nothing holds `lid`" in ran.err
    assert "`widget` is not a kind of joint" in ran.err
    text = sequencer("plan", path, "--off", "box")
    assert "warning" not in text.out
    assert text.err == ran.err


def test_the_same_job_gives_the_same_plan_each_time(sequencer):
    assert sequencer("plan", *JOB).out == sequencer("plan", *JOB).out


def test_a_target_that_is_clear_as_it_stands_needs_no_step(sequencer):
    ran = sequencer("plan", PUMP, "--reach", "guard")
    assert ran.code == 0
    assert "Nothing has to move" in ran.out or "steps in" in ran.out
    data = json.loads(sequencer("plan", PUMP, "--reach", "guard", "--json").out)
    assert data["proven"] is True


@before_landing
def test_a_preferred_count_is_never_higher_than_the_quickest_plan_has(sequencer):
    quickest = json.loads(sequencer("plan", *JOB, "--json").out)["totals"]
    for prefer in ("tool-changes", "reach-arounds"):
        ran = sequencer("plan", *JOB, "--prefer", prefer, "--json")
        totals = json.loads(ran.out)["totals"]
        assert totals[prefer.replace("-", "_")] <= quickest[prefer.replace("-", "_")]
        assert totals["seconds"] >= quickest["seconds"]


def test_a_shipped_machine_is_found_by_its_name(sequencer):
    assert sequencer("check", "delivery-van").out.startswith("delivery-van: good: ")


def test_check_says_how_much_there_is(sequencer):
    ran = sequencer("check", PUMP)
    machine = load(Path(PUMP))
    joints = sum(len(part.joints) for part in machine.parts.values())
    assert (ran.code, ran.err) == (0, "")
    assert f"{len(machine.parts)} parts, {joints} joints, {len(machine.positions)} positions" in ran.out


def test_the_schema_is_json_that_accepts_the_examples(sequencer):
    import jsonschema_rs
    from ruamel.yaml import YAML

    schema = json.loads(sequencer("schema").out)
    jsonschema_rs.meta.validate(schema)
    jsonschema_rs.Draft202012Validator(schema).validate(YAML(typ="safe").load(Path(PUMP)))


def test_the_version_is_printed_alone(sequencer):
    import sequencer as package

    assert sequencer("--version").out == f"{package.__version__}\n"


def test_the_torque_command_is_there(sequencer):
    assert sequencer("torque", "89in-lb", "--to", "N.m").out == "10.06 N.m (89 lbf.in)\n"
