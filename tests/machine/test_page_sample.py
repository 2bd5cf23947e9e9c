"""The sample of the format page, read in every detail."""

from fractions import Fraction

import pytest

from sequencer.machine import load, read
from sequencer.machine.model import (
    HAND,
    Atom,
    Crack,
    Freedom,
    Need,
    Pace,
    Place,
    Position,
    Renewal,
    State,
    Tool,
    Torque,
    Undo,
)
from sequencer.machine.trade.relations import OFF, UNDO, barring
from sequencer.quantities import parse_torque
from tests.machine.texts import PAGE


@pytest.fixture(scope="module")
def machine():
    return load(PAGE)


def at(line: int, column: int) -> Place:
    return Place(str(PAGE), line, column)


def test_it_has_no_fault_and_no_warning():
    assert read(PAGE).faults == ()


def test_its_head_is_read(machine):
    assert (machine.name, machine.about) == ("Bench pump, two stage", "Invented for this page.")
    assert (machine.start, next(iter(machine.positions)), machine.first) == ("bench", "bench", ("isolate",))
    assert machine.pace == Pace(Fraction(8), Fraction(4), Fraction(7), Fraction(20))


def test_its_positions_and_walks_are_read(machine):
    assert dict(machine.positions) == {
        "bench": Position("bench", "At the bench"),
        "under": Position("under", "Lying underneath", Fraction(90), Fraction(60)),
    }
    assert machine.walks == {("bench", "under"): 15, ("under", "bench"): 15}


def test_its_tools_are_those_declared_and_those_told_from_heads(machine):
    assert dict(machine.tools) == {
        "long-bar": Tool("long-bar", "Long flex bar", None),
        "hex-6": Tool("hex-6", "6 mm hex key", None),
        "jack": Tool("jack", "Trolley jack", None),
        "T-25": Tool("T-25", "T25 bit", "ratchet"),
        "socket-10": Tool("socket-10", "10 mm socket", "ratchet", across_mm=10.0),
        "socket-13": Tool("socket-13", "13 mm socket", "ratchet", across_mm=13.0),
        "socket-15": Tool("socket-15", "15 mm socket", "ratchet", across_mm=15.0),
    }


def test_its_fluid_is_read(machine):
    oil = machine.fluids["oil"]
    assert (oil.volume_litres, oil.volume_text) == (1.2, "1.2 L")
    assert (oil.drain.position, oil.drain.tool, oil.drain.seconds) == ("under", "hex-6", 360)
    assert oil.drain.under("behind") == (Need((Atom("guard"),), at(25, 61), barring(UNDO)),)
    assert (oil.fill.position, oil.fill.tool, oil.fill.seconds, oil.fill.under("behind")) == (
        "bench",
        HAND,
        240,
        (),
    )


def test_its_tasks_are_read(machine):
    isolate, prop = machine.tasks["isolate"], machine.tasks["prop"]
    assert (isolate.label, isolate.position, isolate.tool) == ("Isolate and lock the supply", "bench", HAND)
    assert (isolate.seconds, isolate.undo) == (180, Undo("Restore the supply", "bench", HAND, Fraction(60)))
    assert (prop.position, prop.tool, prop.seconds, prop.before) == ("under", "jack", 120, (Atom("mount"),))
    assert prop.undo == Undo("Undo: Prop the motor", "under", "jack", Fraction(60))
    assert machine.parts["mount"].needs == ("prop",)


def test_its_parts_stand_in_the_order_of_the_file(machine):
    assert list(machine.parts) == ["guard", "belt", "pulley", "motor", "bracket", "mount"]
    assert machine.parts["pulley"].place == at(41, 3)
    assert machine.parts["pulley"].joints["bolts"].place == at(45, 7)


def test_each_times_count_is_the_time_of_a_joint(machine):
    screws = machine.parts["guard"].joints["screws"]
    assert (screws.kind, screws.head, screws.count, screws.seconds) == ("screw", "T25", 6, 48)
    assert (screws.seconds_from, screws.position, screws.tool) == ("file", "bench", "T-25")


def test_its_needs_are_read(machine):
    pulley, bracket, mount = (machine.parts[name] for name in ("pulley", "bracket", "mount"))
    assert pulley.under("behind") == (Need((Atom("guard"),), at(42, 14), barring(UNDO)),)
    assert pulley.under("trapped_by") == (Need((Atom("belt"),), at(43, 18), barring(OFF)),)
    assert [need.any_of for need in bracket.joints["far"].under("behind")] == [(Atom("motor", State.LOOSE),)]
    assert [need.any_of for need in mount.under("behind")] == [(Atom("bracket"), Atom("motor"))]


def test_its_crack_and_torque_are_read(machine):
    bolts = machine.parts["pulley"].joints["bolts"]
    assert bolts.crack == Crack(("belt",), Fraction(20), at(46, 15))
    assert bolts.torque == Torque((parse_torque("10 N.m"),), at(45, 71))
    assert (bolts.thread, bolts.property_class) == ("M6", "8.8")


def test_its_states_weights_renewals_and_fluids_are_read(machine):
    motor, bracket = machine.parts["motor"], machine.parts["bracket"]
    assert (motor.weight_kg, motor.states()) == (14.0, (State.LOOSE, State.OFF))
    assert motor.loose == Freedom(("feet",), Fraction(20), at(53, 5))
    assert (motor.seconds, motor.seconds_from) == (10, "default")
    assert motor.joints["feet"].position == "under"
    assert bracket.renew == (Renewal("Bracket gasket", 1, Fraction("4.5")),)
    assert bracket.wet == ("oil",)
