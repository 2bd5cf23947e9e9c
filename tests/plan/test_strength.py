"""Torques held against their fasteners on every way from the file to the reader."""

import json
import random
import re
from datetime import date
from io import StringIO

import pytest
from rich.console import Console

from sequencer.cli.shared.output import WIDEST
from sequencer.document.plans.gates import gates_document
from sequencer.document.plans.plan import refit_document, teardown_document
from sequencer.document.steps.joint import joint_lines
from sequencer.engine.problem import Limits
from sequencer.graph import UnreachableError
from sequencer.machine import read_text
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.closing.toolbox import equipment
from sequencer.plan.onward.missed import missed_gates
from sequencer.quantities import TORQUE_UNITS
from sequencer.render.data.plans.gates import gates_json
from sequencer.render.data.plans.plan import refit_json, teardown_json
from sequencer.render.data.torques.torque import joint_json
from sequencer.render.terminal import show as render
from sequencer.torque.wrenches.toolbox_file import read_toolbox
from tests.plan.jobs import own_targets
from tests.support.plain_machine import as_data, as_text
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

JOINT = "machine: One\nparts:\n  lid:\n    joints:\n      bolts: {{kind: bolt, head: 10, {words}}}\n"
BOX = read_toolbox(
    {"wrenches": {"small": {"range": "5 to 25 N.m"}, "long": {"range": "20 to 100 lbf.ft"}}},
    str,
)
TODAY = date(2024, 6, 1)


def found(words):
    reading = read_text(JOINT.format(words=words), "one.yaml")
    return reading.machine, [str(fault) for fault in reading.faults]


def test_a_torque_beyond_proof_over_the_whole_range_is_refused_and_the_slip_is_named():
    # 89 lbf·in is 10.06 N·m (SP 811); on M6 8.8 (proof load 11.6 kN, ISO 898-1) at K 0.2: 72 % of it.
    machine, faults = found("thread: M6, class: 8.8, torque: 89 lbf.ft")
    assert machine is None
    (fault,) = faults
    assert fault.startswith("one.yaml:5:")
    assert "89 lbf.ft on M6 8.8 is 9 times its proof load; 89 lbf.in would be usual" in fault
    assert "if it is meant all the same, write override: and the reason" in fault


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("thread: M8, class: 8.8, torque: 35 N.m", "35 N.m on M8 8.8 is 103% of its proof load"),
        ("thread: M8, class: 8.8, torque: 2 N.m", "2 N.m on M8 8.8 is 6% of its proof load"),
        ("thread: M8, class: 8.8, torque: 20 N.m, friction: treacle", "'treacle' is no friction that I know"),
        ("thread: M8, class: grade 5, torque: 20 N.m", "SAE J429"),
        (
            "thread: M8, class: 10.9, torque: 36 N.m, engaged_in: aluminium, engagement: 6 mm",
            "too much for 6 mm of thread in aluminium",
        ),
    ],
)
def test_what_is_odd_is_warned_of_and_the_file_still_read(words, says):
    machine, faults = found(words)
    assert machine is not None
    (fault,) = faults
    assert "warning: " in fault
    assert says in fault


@pytest.mark.parametrize(
    "words",
    [
        "torque: 500 N.m",
        "thread: M8, class: 8.8, torque: 25 N.m",
        "thread: M8, class: 8.8",
        "thread: M12, class: 10.9, torque: {stages: [30 N.m, 60 N.m, 90 deg, 90 deg]}",
    ],
)
def test_what_is_usual_or_can_not_be_judged_passes_without_a_word(words):
    machine, faults = found(words)
    assert machine is not None
    assert faults == []


def test_a_torque_to_yield_is_judged_by_its_snug_torque_alone():
    machine, faults = found("thread: M6, class: 8.8, torque: {stages: [89 lbf.ft, 90 deg]}")
    assert machine is None
    assert "before its angle" in faults[0]
    machine, faults = found("thread: M6, class: 8.8, torque: {stages: [5 N.m, 90 deg]}")
    assert faults == []
    assert machine.joint("lid", "bolts").judgement.single_use


def test_what_a_file_says_of_friction_and_hole_goes_into_the_judgement():
    words = "thread: M8, class: 8.8, torque: 25 N.m"
    plain, _ = found(words)
    slippery, _ = found(f"{words}, friction: moly")
    shallow, _ = found(f"{words}, engaged_in: aluminium, engagement: 14 mm")
    judged = [machine.joint("lid", "bolts").judgement for machine in (plain, slippery, shallow)]
    assert judged[0].bolt.friction.name == "unknown"
    assert judged[1].bolt.friction.name == "moly"
    assert judged[1].preload.usual_share > judged[0].preload.usual_share
    assert judged[2].stripping.engaged_mm == 14
    assert judged[2].stripping.material.name == "aluminium"
    assert judged[0].stripping is None


def test_slippery_threads_turn_a_high_torque_into_a_refused_one():
    words = "thread: M8, class: 8.8, torque: 40 N.m"
    assert found(words)[0] is not None
    machine, faults = found(f"{words}, friction: moly")
    assert machine is None
    assert "40 N.m on M8 8.8" in faults[0]


def test_an_override_with_its_reason_lets_the_torque_pass():
    machine, faults = found("thread: M8, class: 8.8, torque: 60 N.m, override: the drawing says so")
    assert faults == [] or all("warning: " in fault for fault in faults)
    judgement = machine.joint("lid", "bolts").judgement
    assert judgement.refused
    assert judgement.override == "the drawing says so"


# ---- Every way out, for machines by chance ----

NUMBER = r"\d+(?:\.\d+)?"
UNIT = "|".join(re.escape(unit) for unit in TORQUE_UNITS)
ONE = rf"{NUMBER} (?:{UNIT})(?: \({NUMBER} (?:{UNIT})\))?|turn a further {NUMBER} deg"
GATE = re.compile(rf"(?:{ONE})(?:, then (?:{ONE}))*(?: \([^)]*\))?(?:; .*)?")
TORQUE = re.compile(rf"{NUMBER} (?:{UNIT})(?: \({NUMBER} (?:{UNIT})\))?(?: \([^)]*\))?")

FIGURES = ("9 N.m", "89 lbf.in", "89 lbf.ft", "22 Nm", "3 kgf.m", "200 N.m", {"stages": ["10 N.m", "25 N.m"]},
           {"stages": ["20 N.m", "90 deg"]})  # fmt: skip


def armed(number):
    """A machine by chance: fasteners known and unknown, figures right and wrong, some of them overridden."""
    text, targets = random_machine(number, 2 + number % 3, torques=True)
    machine, rng = as_data(text), random.Random(f"armed {number}")
    for part, about in machine["parts"].items():
        for name, joint in about["joints"].items():
            if "torque" not in joint:
                if rng.random() < 0.5:
                    joint |= {"thread": "M8", "class": "8.8"}
                continue
            joint["torque"] = rng.choice(FIGURES)
            if rng.random() < 0.7:
                joint |= {
                    "thread": rng.choice(("M5", "M6", "M8", "M10")),
                    "class": rng.choice(("8.8", "10.9")),
                }
            if rng.random() < 0.6:
                joint["override"] = f"reason of {part} {name}"
    return as_text(machine), targets


def printed(show, *what, **more):
    stream = StringIO()
    console = Console(file=stream, width=10 * WIDEST, highlight=False, markup=False, emoji=False)
    render(show(*what, **more), console)
    return stream.getvalue()


def leaves(data, keys=()):
    """Every (keys, value) of plain data, with the mapping that it stands in."""
    if isinstance(data, dict):
        for key, value in data.items():
            if isinstance(value, dict | list):
                yield from leaves(value, (*keys, key))
            else:
                yield (*keys, key), value, data
    elif isinstance(data, list):
        for value in data:
            yield from leaves(value, keys) if isinstance(value, dict | list) else iter([(keys, value, {})])


TEXTS = {"stages", "set_to", "low", "high", "torque", "shown", "setting"}


def torques_in(data):
    """The torques of plain data; a bare number may only be one that its key gives the unit of."""
    for keys, value, around in leaves(json.loads(json.dumps(data))):
        if keys[-1] in TEXTS and isinstance(value, str):
            yield keys, value
        if (
            isinstance(value, int | float)
            and not isinstance(value, bool)
            and {"torque", "judgement"} & set(keys)
        ):
            known = keys[-1] in {"newton_metres", "low", "usual", "high", "proof_newtons", "k", "range"}
            assert known or (keys[-1] == "value" and around["unit"] in TORQUE_UNITS), keys


def outputs(machine, targets):
    way_in = plan_teardown(machine, targets)
    way_back = plan_refit(way_in)
    kit_in, kit_back = (equipment(plan, BOX, TODAY) for plan in (way_in, way_back))
    priced = list(missed_gates(way_back, Limits(states=2000)))
    joints = [joint for part in machine.parts.values() for joint in part.joints.values()]
    texts, data = [], []
    for unit in (None, "lbf.ft"):
        texts += [printed(refit_document, way_back, unit=unit, kit=kit_back)]
        texts += [printed(gates_document, way_back, priced, unit=unit, kit=kit_back)]
        texts += ["\n".join(joint_lines(machine, joint, unit)) for joint in joints]
        data += [
            refit_json(way_back, unit, kit_back),
            gates_json(way_back, priced, unit, kit_back),
        ]
        data += [joint_json(joint, unit) for joint in joints]
    return [printed(teardown_document, way_in, kit=kit_in), *texts], [
        teardown_json(way_in, kit_in),
        *data,
    ]


def jobs(numbers):
    for number in numbers:
        text, targets = armed(number)
        reading = read_text(text, "armed.yaml")
        refused = [
            fault
            for fault in reading.faults
            if "override: and the reason" in fault.remedy and fault.severity == "error"
        ]
        assert (reading.machine is None) == bool(refused), [str(fault) for fault in reading.faults]
        if reading.machine is not None:
            yield number, reading.machine, targets


BLOCK = counts(quick=6, landing=15, nightly=40)


@before_landing
@pytest.mark.parametrize("first", range(0, counts(quick=6, landing=15, nightly=120), BLOCK))
def test_no_way_leads_to_a_torque_without_unit_or_a_refused_one_without_its_reason(first):
    seen = overridden = 0
    for number, machine, targets in jobs(range(first, first + BLOCK)):
        try:
            texts, data = outputs(machine, own_targets(machine, targets))
        except UnreachableError:
            continue
        for text in texts:
            for line in text.splitlines():
                if "GATE  " in line:
                    assert GATE.fullmatch(line.partition("GATE  ")[2]), (number, line)
                    seen += 1
        for one in data:
            for keys, value in torques_in(one):
                right = TORQUE.match(value) or re.fullmatch(rf"{NUMBER} deg|{NUMBER} Nm|by hand, .*|", value)
                assert right, (number, keys, value)
        overridden += beside(machine, texts, data)
    assert seen >= counts(quick=3, landing=8, nightly=20)
    assert overridden >= counts(quick=1, landing=4, nightly=10)


def beside(machine, texts, data):
    """How often a torque beyond proof was met; each time with its reason."""
    met = 0
    joints = [joint for part in machine.parts.values() for joint in part.joints.values() if joint.torque]
    for joint in joints:
        if not joint.judgement.refused:
            continue
        reason = joint.torque.override
        assert reason
        for one in data:
            for about in mappings(one):
                if about.get("joint") == joint.path and ("stages" in about or "settings" in about):
                    assert about.get("override") == reason
                    met += 1
                step = about.get("torque")
                if isinstance(step, dict) and f"{about.get('part')}/{about.get('joint')}" == joint.path:
                    assert step["override"] == reason
        for text in texts:
            for block in re.split(r"\n(?=\S|\n)|(?= {1,3}\d+  )", text):
                figure = re.search(r"GATE  (.*)", block)
                if figure and f"Torque {joint.part}: {joint.name}" in block:
                    assert reason in figure[1]
                    met += 1
    return met


def mappings(data):
    if isinstance(data, dict):
        yield data
    for value in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from mappings(value)


@before_landing
def test_a_computed_range_is_marked_and_never_a_gate():
    shown = 0
    for _, machine, targets in jobs(range(counts(quick=6, landing=15, nightly=60))):
        try:
            way_back = plan_refit(plan_teardown(machine, own_targets(machine, targets)))
        except UnreachableError:
            continue
        told = refit_json(way_back)
        without = {
            joint.path
            for part in machine.parts.values()
            for joint in part.joints.values()
            if not joint.torque
        }
        assert without.isdisjoint(gate["joint"] for gate in told["gates"])
        ranges = [step for step in told["steps"] if "computed_range" in step]
        text = printed(refit_document, way_back)
        assert text.count("computed, not the maker's") == len(ranges)
        for step in ranges:
            assert step["kind"] in ("fasten", "tighten", "retighten")
            assert f"{step['part']}/{step['joint']}" in without
            assert step["computed_range"]["mark"] == "computed, not the maker's"
            # M8 8.8, proof load 21.2 kN (ISO 898-1): no more than proof at the slippery K, 0.12.
            assert step["computed_range"]["high"] == "20.5 N.m"
            shown += 1
    assert shown >= counts(quick=1, landing=4, nightly=10)
