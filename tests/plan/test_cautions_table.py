"""Every hazard by its everyday names, silence on what only sounds like it: a table of right verdicts."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import pytest

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Fluid, FluidWork, Joint, Machine, Part, Place, Position, Task
from sequencer.plan.hazards.cautions import cautions
from sequencer.plan.hazards.hazards import hazards
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Plan, Step
from tests.support.profile import before_landing

HELD = 12
"""Every so many lines one is held back: nothing was tuned on it."""

ANY_FLUID = {"catch", "cool-first", "fill", "used-oil"}
HERE = Place("labels.yaml", 1, 1)


@dataclass(frozen=True)
class Row:
    expected: str
    where: str
    label: str
    weight: float | None


def rows(file: str = "caution_labels.txt") -> Iterator[tuple[int, Row]]:
    lines = Path(__file__).with_name(file).read_text(encoding="utf-8").splitlines()
    for number, line in enumerate((line for line in lines if "|" in line and not line.startswith("#")), 1):
        expected, where, label, *weight = (piece.strip() for piece in line.split("|"))
        yield number, Row(expected, where, label, float(weight[0].split()[0]) if weight else None)


def operations(row: Row) -> tuple[Machine, list[Operation]]:
    """A machine that is nothing but this label, and what is done to it: loosened, taken off, drained."""
    where, _, kind = row.where.partition(" ")
    named = row.label if where == "part" else "Assembly"
    joint = Joint("j", "p", kind or "bolt", "hand", "here", Fraction(9), HERE,
                  label=row.label if where == "joint" else None)  # fmt: skip
    part = Part("p", "here", Fraction(9), HERE, {"j": joint}, label=named, weight_kg=row.weight)
    work = FluidWork("here", "hand", Fraction(9))
    machine = Machine(
        "Thing",
        "labels.yaml",
        {"here": Position("here", row.label if where == "position" else "In front of it")},
        {"p": part},
        tasks={"t": Task("t", "here", "hand", Fraction(9), HERE, label=row.label)},
        fluids={"f": Fluid("f", work, work, HERE, label=row.label)},
    )
    done = {
        "task": [(Kind.TASK, "t", None, None)],
        "fluid": [(Kind.DRAIN, "f", None, None)],
    }.get(where, [(Kind.UNDO, "p/j", "p", "j"), (Kind.REMOVE, "p", "p", None)])
    made = [Operation(k, s, "here", "hand", Fraction(9), HERE, part=p, joint=j) for k, s, p, j in done]
    return machine, made


def verdict(row: Row) -> str:
    """The names of the hazards that are told of a label."""
    return verdict_of(*operations(row), weight=f"{row.weight:g} kg" if row.weight else "")


def verdict_of(machine: Machine, made: list[Operation], weight: str = "") -> str:
    steps = [
        Step(number, op, op.seconds, Fraction(0), tool_change=False, reach_around=False)
        for number, op in enumerate(made, 1)
    ]
    plan = Plan(machine, (), Prefer.TIME, tuple(steps), None)
    told = {caution.text for found in cautions(plan).values() for caution in found}
    names = {hazard.name for hazard in hazards() if hazard.text.format(weight=weight) in told}
    return " ".join(sorted(names - ANY_FLUID)) or "-"


@before_landing
@pytest.mark.parametrize("held", [False, True])
def test_nineteen_labels_in_twenty_get_the_right_verdict(held):
    asked = [row for number, row in rows() if (number % HELD == 0) is held]
    wrong = [(row.label, verdict(row)) for row in asked if verdict(row) != row.expected]
    assert len(wrong) <= 0.05 * len(asked), wrong


@before_landing
def test_labels_written_without_the_data_and_last_words_that_hide_a_hazard_get_the_right_verdict():
    wrong = [
        (row.label, verdict(row))
        for _, row in rows("caution_labels_more.txt")
        if verdict(row) != row.expected
    ]
    assert wrong == [("Exhaust every name on the list", "exhaust")]


def test_half_of_the_table_are_look_alikes():
    asked = [row for _, row in rows()]
    assert len(asked) >= 350
    assert sum(row.expected == "-" for row in asked) >= len(asked) / 2


@pytest.mark.parametrize("label", ["Traction battery", "Hybrid battery pack", "230 V terminal block"])
def test_no_advice_for_twelve_volts_where_the_voltage_kills(label):
    assert "battery" not in verdict(Row("", "part terminal", label, None)).split()


def test_what_weighs_as_much_as_a_man_is_never_for_two_people():
    assert verdict(Row("", "part bolt", "Engine", 180)) == "lift-hoist"
    text = next(hazard.text for hazard in hazards() if hazard.name == "lift-hoist")
    assert "person" not in text
    assert "never by hand" in text


@pytest.mark.parametrize(
    ("part", "joint", "kind", "expected"),
    [
        ("Heater", "hoses", "hose", "coolant"),
        ("Starter motor", "main cable", "nut", "cable"),
        ("Alternator", "cable", "nut", "cable"),
        ("Air conditioning", "lines", "union", "refrigerant"),
        ("Caliper", "hose", "banjo", "brake-fluid"),
        ("Battery tray", "bolts", "bolt", "-"),
        ("Starter motor", "bolts", "bolt", "-"),
        ("Heater", "knob", "screw", "-"),
        ("Brake light", "cover", "screw", "-"),
        ("Radio", "earth lead", "screw", "-"),
        ("Spare wheel carrier", "nut", "nut", "-"),
    ],
)
def test_part_and_joint_have_a_hazard_together_that_neither_has_alone(part, joint, kind, expected):
    machine, made = operations(Row("", f"joint {kind}", joint, None))
    named = replace(machine.parts["p"], label=part)
    machine = replace(machine, parts={"p": named})
    assert verdict_of(machine, made[:1]) == expected
