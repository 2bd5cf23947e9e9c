"""What a forgotten gate costs, and between which steps it can be closed, held against plans of their own."""

from dataclasses import replace
from fractions import Fraction
from functools import cache
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rich.console import Console

from sequencer.document.plans.gates import gates_document
from sequencer.engine.problem import Limits
from sequencer.graph import UnreachableError, derive, parse_targets
from sequencer.machine import load, read_text
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.onward.missed import missed_gates
from sequencer.render.data.plans.gates import gates_json
from sequencer.render.data.plans.plan import refit_json, teardown_json
from sequencer.render.terminal import show as render
from tests.plan.jobs import names, there_and_back
from tests.plan.refit_by_force import least
from tests.support.plain_machine import as_data, as_text, load_machine
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.refit_checker import check_refit
from tests.support.refit_state import Aftermath

ROOT = Path(__file__).parents[2]
PUMP = ROOT / "tests" / "machines" / "bench-pump.yaml"
VAN = ROOT / "models" / "delivery-van.yaml"

LIMITS = Limits(states=50_000)
"""The same for the price and for the plan that it is held against: both then stop at the same order."""

SECONDS_A_TURN = 10
"""A fastener and stage with a torque wrench: common practice, and what a gate's own step takes."""


def mended(text, path, limits=LIMITS):
    """Tighten the joint in the finished machine, by a probe in the file; then put everything back."""
    machine = read_text(text).machine
    reading = read_text(probed(text, path))
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    way_in = plan_teardown(reading.machine, parse_targets(reading.machine, [], ["probed"]), limits=limits)
    steps = tuple(step for step in way_in.steps if step.operation.part != "probe")
    without = replace(way_in, machine=machine, steps=steps, graph=derive(machine))
    way_back = plan_refit(without, limits=limits)
    return without, way_back, way_in.totals.seconds + way_back.totals.seconds, way_in.proven


@before_landing
@pytest.mark.parametrize(
    ("file", "off"),
    [
        *((PUMP, "seal"), (PUMP, "impeller"), (PUMP, "motor")),
        *counts(quick=(), nightly=((VAN, "alternator"), (VAN, "exhaust-manifold"))),
    ],
    ids=lambda value: value if isinstance(value, str) else value.stem,
)
def test_the_price_of_a_gate_is_that_of_a_plan_from_the_finished_machine(file, off):
    machine = load(file)
    found = plan_refit(plan_teardown(machine, parse_targets(machine, [off]), limits=LIMITS), limits=LIMITS)
    priced = list(missed_gates(found, LIMITS))
    assert sorted(one.gate.joint for one in priced) == sorted(gate.joint for gate in found.gates)
    assert priced
    for one in priced:
        way_in, way_back, cost, proven = mended(file.read_text(encoding="utf-8"), one.gate.joint)
        assert one.seconds == cost
        assert one.proven is (proven and way_back.proven)
        moved = {op.part for op in way_in.operations if op.kind.value in ("loosen", "move-aside", "remove")}
        assert set(one.parts) == moved


def probed(text, path):
    """The machine with a probe: a joint where the joint is, turned by its torque wrench, and a part behind.

    To reach ``probed`` is to have tightened the joint.
    """
    machine = as_data(text)
    part, _, name = path.partition("/")
    holder = machine["parts"][part]
    joint = holder["joints"][name]
    own = read_text(text).machine.joint(part, name)
    wrench = "torque-wrench" if own.tool == "hand" else f"torque-wrench+{own.tool}"
    wrench = wrench.replace("/", " in ")  # a declared tool has no stroke in its name
    machine.setdefault("tools", {})[wrench] = {"drive": "torque-wrench"}

    def asked(key):
        said = (holder.get(key, []), joint.get(key, []))
        return [one for what in said for one in (what if isinstance(what, list) else [what])]

    turn = {
        "kind": "bolt",
        "tool": wrench,
        "from": own.position,
        "time": SECONDS_A_TURN * own.count * len(own.torque.stages),
        "behind": asked("behind"),
        "needs": asked("needs"),
    }
    for task in machine.get("tasks", {}).values():
        if {part, path} & set(task.get("before", [])):
            task["before"].append("probe")
    machine["parts"]["probe"] = {"joints": {"turn": turn}}
    machine["parts"]["probed"] = {
        "behind": ["probe/turn"],
        "joints": {"c": {"kind": "clip", "time": 1, "tool": "hand"}},
    }
    return as_text(machine)


BLOCK = counts(quick=4, landing=8, nightly=20)


@before_landing
@pytest.mark.parametrize("first", range(0, counts(quick=4, landing=8, nightly=60), BLOCK))
def test_nobody_finds_a_quicker_way_to_mend_a_forgotten_gate(first):
    """The way in by enumeration on a machine with a probe at the joint, the way back by enumeration too."""
    asked = moving = 0
    for number in range(first, first + BLOCK):
        text, targets = random_machine(number, 2 + number % 3, torques=True)
        try:
            _, found = there_and_back(text, targets)
        except UnreachableError:
            continue
        for one in missed_gates(found, Limits()):
            way_in, way_back, cost, _ = mended(text, one.gate.joint, Limits())
            if len(way_back.steps) > 9:
                continue
            told = {step.operation.name: step.seconds for step in way_back.steps}
            after = Aftermath(load_machine(text), tuple(names(way_in)))
            in_seconds = best_seconds(probed(text, one.gate.joint), [("reach", "probed")])
            _, out_seconds = least(after, told) if way_back.steps else (0, Fraction(0))
            assert one.seconds == cost == in_seconds + out_seconds, (number, one.gate.joint)
            assert one.proven
            asked += 1
            moving += bool(one.parts)
    assert asked >= counts(quick=2, landing=4, nightly=12)
    assert moving >= counts(quick=1, nightly=4)


@settings(max_examples=counts(quick=8, landing=10, nightly=500))
@given(number=st.integers(0, 10**6), size=st.integers(2, 5))
def test_first_and_last_step_of_every_gate_are_those_of_the_checker(number, size):
    text, targets = random_machine(number, size, torques=True)
    try:
        way_in, way_back = there_and_back(text, targets)
    except UnreachableError:
        return
    assume(way_back.gates)
    told = refit_json(way_back)
    assert check_refit(text, targets, teardown_json(way_in), told) == []  # step, last step, what it waits for
    after = Aftermath(load_machine(text), tuple(names(way_in)))
    steps = names(way_back)
    for gate in told["gates"]:
        waits = after.earlier[f"torque {gate['joint']}"]
        before = [place for place, name in enumerate(steps, 1) if name in waits]
        assert gate["first_step"] == max(before, default=0) + 1 <= gate["step"]
        assert gate["last_step"] is None or gate["step"] < gate["last_step"]


@cache
def pump_gates():
    machine = load(PUMP)
    found = plan_refit(plan_teardown(machine, parse_targets(machine, ["seal"])))
    return machine, found, list(missed_gates(found, Limits()))


def test_gates_come_in_closing_order_and_those_within_reach_last():
    _, _, priced = pump_gates()
    closing = [one.gate.last_step or 1000 for one in priced]
    assert closing == sorted(closing)
    assert closing[-1] == 1000
    assert {one.gate.last_step is None for one in priced} == {True, False}


def test_a_gate_within_reach_costs_isolating_tightening_and_restoring_and_nothing_moves():
    machine, _, priced = pump_gates()
    isolate = machine.tasks["isolate"]
    for one in priced:
        if one.gate.last_step is None:
            joint = machine.joint(*one.gate.joint.split("/"))
            turning = SECONDS_A_TURN * joint.count * len(joint.torque.stages)
            assert one.seconds == isolate.seconds + machine.pace.pick_up + turning + isolate.undo.seconds
            assert one.parts == ()
        else:
            assert one.parts


def test_the_sooner_a_gate_closes_the_more_is_in_front_of_it_in_the_pump():
    _, _, priced = pump_gates()
    costs = {one.gate.joint: one.seconds for one in priced}
    assert costs["impeller/nut"] > costs["cover/bolts"] > costs["bracket/bolts"] > costs["outlet-pipe/flange"]


def test_the_gates_as_json_have_their_price_and_what_moves():
    _, found, priced = pump_gates()
    gates = gates_json(found, priced)["gates"]
    assert [gate["joint"] for gate in gates] == [one.gate.joint for one in priced]
    assert [gate["missed_seconds"] for gate in gates] == [float(one.seconds) for one in priced]
    assert [gate["moves_again"] for gate in gates] == [list(one.parts) for one in priced]


def test_a_price_that_is_not_proven_is_said_to_be_at_most_that():
    _, found, priced = pump_gates()
    told = []
    for proven in (True, False):
        stream = StringIO()
        console = Console(file=stream, width=100, highlight=False, markup=False)
        render(gates_document(found, [replace(priced[0], proven=proven)]), console)
        told.append(stream.getvalue())
    assert "missed: 32 min" in told[0]
    assert "missed: at most 32 min" in told[1]
