"""Closing a drain: an operation of the way back with its gate, before anything is filled in."""

import pytest

from sequencer.document.steps.cards import refit_cards
from sequencer.job.reports.record import CLOSED, OPEN, reservations, torque_record
from sequencer.plan.closing.supplies import renewals
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.job.phone import Phone
from tests.job.through import begun, through
from tests.machine.texts import faults
from tests.plan.jobs import names, there_and_back
from tests.support.profile import before_landing
from tests.support.refit_checker import check_refit

PUMP = """
machine: A pump with a plug in its drain
positions: {front: {}, under: {}}
tools: {key: {}}
fluids:
  oil:
    volume: 1 L
    drain:
      from: under
      tool: key
      time: 5 min
      behind: [guard]
      plug: {torque: 25 N.m, thread: M14x1.5, renew: {item: Sealing ring, price: 0.50}}
    fill: {time: 60 s}
parts:
  guard: {from: under, joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
  cover: {wet: [oil], joints: {bolts: {kind: bolt, head: 10, time: 60 s, torque: 9 N.m}}}
"""
TARGETS = [("off", "cover")]


def test_the_drain_is_closed_with_its_torque_before_the_filling_and_before_it_is_covered():
    way_in, back = there_and_back(PUMP, TARGETS)
    order = names(back)
    assert order.index("close oil") < order.index("fill oil") < order.index("leak-check oil")
    assert order.index("close oil") < order.index("fit guard")
    (close,) = [step for step in back.steps if step.operation.name == "close oil"]
    assert (close.operation.position, close.operation.tool) == ("under", "torque-wrench+key")
    (gate,) = [gate for gate in back.gates if gate.joint == "oil/plug"]
    assert (gate.step, gate.last_step) == (close.number, order.index("fit guard") + 1)
    assert check_refit(PUMP, TARGETS, teardown_json(way_in), refit_json(back)) == []


def test_the_step_says_its_torque_its_thread_and_what_is_new():
    _, back = there_and_back(PUMP, TARGETS)
    (card,) = [s for station in refit_cards(back) for s in station.steps if s.operation == "close oil"]
    assert card.words == "Close the drain of oil"
    assert "M14x1.5" in card.details
    assert any("25 N.m" in line for line in card.gate)
    assert any("Sealing ring" in line for line in card.lines)
    assert [(where, one.item) for where, one in renewals(back)] == [("oil", "Sealing ring")]


def test_a_plug_without_a_torque_is_closed_and_is_no_gate():
    text = PUMP.replace("torque: 25 N.m, ", "")
    way_in, back = there_and_back(text, TARGETS)
    assert "close oil" in names(back)
    assert [gate.joint for gate in back.gates] == ["cover/bolts"]
    assert check_refit(text, TARGETS, teardown_json(way_in), refit_json(back)) == []


def test_a_left_hand_plug_is_told_both_ways():
    way_in, back = there_and_back(PUMP.replace("M14x1.5", "M14x1.5 LH"), TARGETS)
    said = {s["op"]: s["says"] for data in (teardown_json(way_in), refit_json(back)) for s in data["steps"]}
    assert said["drain oil"].endswith("turn it clockwise)")
    assert said["close oil"].endswith("turn it anticlockwise)")


def test_the_drain_of_what_is_waste_is_closed_as_well():
    text = PUMP.replace("fill: {time: 60 s}", "fill: none")
    way_in, back = there_and_back(text, TARGETS)
    assert "close oil" in names(back)
    assert "fill oil" not in names(back)
    assert check_refit(text, TARGETS, teardown_json(way_in), refit_json(back)) == []


@before_landing
def test_a_job_with_waste_closes_the_gate_of_the_plug_and_looks_for_no_leaks(tmp_path):
    text = PUMP.replace("fill: {time: 60 s}", "fill: none")
    into, back = through(tmp_path, text, ["cover"])
    assert "drain oil" in into
    assert [op for op in back if op.endswith(" oil")] == ["close oil"]
    assert back.index("close oil") < back.index("fit guard")


@before_landing
def test_a_plug_that_is_due_once_more_stays_open_in_the_record(tmp_path):
    text = PUMP.replace("{torque: 25 N.m,", "{torque: {value: 25 N.m, again: after the first run},")
    way_in, back = there_and_back(text, TARGETS)
    said = "due again after the job: after the first run"
    cards = [step for station in refit_cards(back) for step in station.steps]
    assert [card.operation for card in cards if said in card.gate] == ["close oil"]
    torques = {step["op"]: step["torque"] for step in refit_json(back)["steps"] if step.get("torque")}
    assert torques["close oil"]["again"] == "after the first run"
    assert check_refit(text, TARGETS, teardown_json(way_in), refit_json(back)) == []
    with begun(tmp_path, text, ["cover"]) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.turn()
        while steps := desk.plan().steps:
            op = steps[0].operation.name
            torque = {"close oil": "25 N.m", "torque cover/bolts": "9 N.m"}.get(op)
            desk.done(op, **({"torque": torque, "fasteners": "all", "stages": "all"} if torque else {}))
        record = {entry.joint: entry for entry in torque_record(desk.moment())}
        open_ones = reservations(desk.moment())
    assert record["cover/bolts"].state == CLOSED
    plug = record["oil/plug"]
    assert (plug.state, plug.why, plug.read) == (OPEN, "due again: after the first run", "25 N.m")
    assert open_ones == (("oil/plug", "torque open: due again: after the first run"),)


@before_landing
def test_a_job_closes_the_gate_of_the_plug_by_its_reading(tmp_path):
    _, back = through(tmp_path, PUMP, ["cover"])
    assert "close oil" in back


@pytest.mark.parametrize(
    ("plug", "fault"),
    [
        ("{tool: spanenr}", "there is no tool `spanenr`"),
        ("{torque: 25}", "25"),
        ("{torque: {source: book}}", "nothing says how tight"),
        ("{thread: M14, tourqe: 25 N.m}", "`tourqe` is not a key of a plug"),
    ],
)
def test_a_plug_is_read_like_a_joint(plug, fault):
    parts = "parts: {a: {joints: {b: {kind: clip}}}}"
    said = faults(f"fluids: {{oil: {{drain: {{plug: {plug}}}}}}}\nmachine: m\n{parts}\n")
    assert any(one.startswith("1:") and fault in one for one in said), said


def test_a_part_and_a_plug_of_one_name_are_refused():
    text = PUMP + "  oil: {joints: {plug: {kind: connector}}}\n"
    assert any("both are called `oil/plug`" in one for one in faults(text))


@before_landing
def test_the_page_opens_the_gate_of_the_plug_and_takes_its_reading(tmp_path):
    desk = begun(tmp_path, PUMP, ["cover"])
    desk.done([step.operation.name for step in desk.plan().steps])
    desk.turn()
    before = [step.operation.name for step in desk.plan().steps]
    phone = Phone(desk.folder.path, tmp_path)
    for op in before[: before.index("close oil")]:
        read = {"torque": "9 N.m", "fasteners": "all", "stages": "all"} if op.startswith("torque ") else {}
        desk.done(op, **read)
    assert "25 N.m" in phone.door.ask("GET", "/gate/close%20oil").text
    said = phone.door.post("/gate", {"op": "close oil", "value": "25", "unit": "N.m"})
    assert said.status_code in (200, 303)
    assert "close oil" in desk.state().ticks
    closed = [entry.joint for entry in torque_record(desk.moment()) if entry.state == CLOSED]
    assert "oil/plug" in closed
    phone.look()
    phone.close()
    desk.close()
