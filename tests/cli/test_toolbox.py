"""``--toolbox`` on plan, refit and torque."""

import json
from datetime import date

import pytest

from sequencer.cli.before import torque
from sequencer.cli.shared import toolbox
from tests.support.profile import before_landing

PUMP = "tests/machines/bench-pump.yaml"
BOX = "examples/toolbox.yaml"


@pytest.fixture(autouse=True)
def today(monkeypatch):
    """A day on which one wrench of the example is overdue and the other is not."""
    for module in (toolbox, torque):
        monkeypatch.setattr(module, "today", lambda: date(2026, 6, 1))


def test_a_plan_says_what_is_missing_before_the_first_step(sequencer):
    ran = sequencer("plan", PUMP, "--off", "seal", "--toolbox", BOX)
    head, _, steps = ran.out.partition("\n   1  ")
    assert ran.code == 0
    assert "Missing  Wooden wedge\n" in head
    assert "no owned torque wrench serves on the way back: Pump cover: bolts (4 N.m)" in head
    assert "long clicker is due for\n         calibration: last done on 2023-05-20" in head.replace(
        "is\n         due for ", "is due for\n         "
    )
    assert "Missing" not in steps
    assert "Missing" not in sequencer("plan", PUMP, "--off", "seal").out


def test_a_plan_with_all_its_tools_says_so(sequencer, tmp_path):
    box = tmp_path / "box.yaml"
    box.write_text("sockets: {1/4 in: [T25]}\ndrives: [1/4 in]\n", encoding="utf-8")
    ran = sequencer("plan", PUMP, "--off", "guard", "--toolbox", box)
    assert "Missing  nothing that this job needs\n" in ran.out


def test_the_plan_as_json_has_the_toolbox_beside_it(sequencer):
    data = json.loads(sequencer("plan", PUMP, "--off", "seal", "--toolbox", BOX, "--json").out)
    assert data["toolbox"]["missing"] == [{"tool": "wood", "label": "Wooden wedge"}]
    served = {one["joint"]: one["served"] for one in data["toolbox"]["wrenches"]}
    assert served["impeller/nut"] is True
    assert served["cover/bolts"] is False
    assert "toolbox" not in json.loads(sequencer("plan", PUMP, "--off", "seal", "--json").out)


def test_each_gate_of_the_way_back_says_which_wrench_and_what_to_set_it_to(sequencer):
    out = sequencer("refit", PUMP, "--off", "seal", "--toolbox", BOX).out
    gates = out.split("GATE")[1:]
    assert len(gates) == 6
    assert all("wrench: " in gate for gate in gates)
    impeller = next(gate for gate in gates if gate.startswith("  40 N.m"))
    assert "wrench: long clicker (due for calibration), set to 30 lbf.ft" in impeller
    cover = next(gate for gate in gates if gate.startswith("  4 N.m"))
    assert "no owned wrench serves 4 N.m: 4 N.m is below the 5 to" in " ".join(cover.split())


@before_landing
def test_gates_by_themselves_have_their_wrenches_in_text_and_json(sequencer):
    ran = sequencer("refit", PUMP, "--off", "impeller", "--gates", "--toolbox", BOX)
    assert ran.out.count("wrench: ") == ran.out.count("missed: ") == 5
    data = json.loads(
        sequencer("refit", PUMP, "--off", "impeller", "--gates", "--toolbox", BOX, "--json").out
    )
    settings = {gate["joint"]: gate["wrench"]["settings"] for gate in data["gates"]}
    assert settings["bracket/bolts"] == [
        {
            "torque": torque_text,
            "says": f"small clicker, set to {torque_text}",
            "wrench": "small clicker",
            "set_to": torque_text,
            "drive": "1/4 in",
            "newton_metres": newton_metres,
            "error_share": 0.04,
            "overdue": False,
            "cautions": [],
        }
        for torque_text, newton_metres in (("12 N.m", 12.0), ("24 N.m", 24.0))
    ]
    assert settings["cover/bolts"][0]["wrench"] is None
    assert data["toolbox"]["cautions"] == [
        "long clicker is due for calibration: last done on 2023-05-20, 36 months ago"
    ]


@pytest.mark.parametrize(
    "command", [("plan", PUMP, "--off", "seal"), ("refit", PUMP, "--off", "seal"), ("torque", "9Nm")]
)
def test_a_faulty_toolbox_ends_with_all_its_faults_and_exit_code_2(sequencer, write, command):
    box = write("wrenches: {a: {range: 5 to 25}, b: {drive: 1/2 in}}\nspanners: []\n")
    ran = sequencer(*command, "--toolbox", box)
    assert (ran.code, ran.out) == (2, "")
    assert [line.split(": ")[0].rpartition("/")[2] for line in ran.err.splitlines()] == [
        "machine.yaml:2:11",
        "machine.yaml:1:23",
        "machine.yaml:1:36",
    ]


def test_a_torque_at_the_bench_is_set_on_an_owned_wrench_with_its_adapter(sequencer):
    # Setting = 24 · 230 / (230 + 40) = 20.4 N·m, on a scale in halves; across, the adapter changes nothing
    # (engineersedge.com torque_wrench_2).
    along = sequencer("torque", "24 N.m", "--adapter", "40 mm", "--toolbox", BOX)
    assert along.out == "24 N.m (17.7 lbf.ft)\nwrench: small clicker, set to 20.5 N.m\n"
    across = sequencer("torque", "24 N.m", "--adapter", "40 mm", "--angle", "90", "--toolbox", BOX)
    assert "wrench: small clicker, set to 24 N.m" in across.out
    data = json.loads(sequencer("torque", "24 N.m", "--toolbox", BOX, "--json").out)
    assert data["wrench"]["set_to"] == "24 N.m"


def test_nobody_is_told_how_to_set_a_torque_that_the_guard_refuses(sequencer):
    bolt = ("--thread", "M8", "--class", "8.8")
    ran = sequencer(
        "torque", "60 N.m", *bolt, "--toolbox", BOX, "--adapter", "40 mm", "--wrench-length", "1 ft"
    )
    assert ran.code == 2
    assert "beyond proof: 60 N.m on M8 8.8" in ran.out
    assert "set" not in ran.out.replace("setting", "")
    fine = sequencer(
        "torque", "24 N.m", *bolt, "--toolbox", BOX, "--adapter", "40 mm", "--wrench-length", "1 ft"
    )
    assert "set the wrench to" in fine.out
    assert "wrench: small clicker, set to 20.5 N.m" in fine.out


@before_landing
def test_a_wrench_by_a_hostile_name_shows_nothing_that_a_terminal_would_obey(sequencer, write):
    box = write('wrenches: {"[bold]\u202eevil": {range: 5 to 50 N.m}}\n')
    for command in (
        ("torque", "9 N.m"),
        ("refit", PUMP, "--off", "impeller"),
        ("plan", PUMP, "--off", "impeller"),
    ):
        ran = sequencer(*command, "--toolbox", box)
        assert ran.code == 0
        assert "[bold] evil" in ran.out
        assert "\u202e" not in ran.out


def test_a_torque_that_no_owned_wrench_serves_is_said(sequencer):
    ran = sequencer("torque", "2 N.m", "--toolbox", BOX)
    assert "no owned wrench serves: 2 N.m is below the 5 to 25 N.m that small clicker is good for" in ran.out
    data = json.loads(sequencer("torque", "2 N.m", "--toolbox", BOX, "--json").out)
    assert data["wrench"]["served"] is False


def test_the_day_can_be_set_for_output_that_stays_the_same(monkeypatch):
    from sequencer.cli.shared import toolbox as own

    monkeypatch.undo()  # the fixture's own day
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")
    assert own.today() == date(2026, 6, 1)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "a word")
    assert own.today() == date.today()
