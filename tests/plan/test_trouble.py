"""The usual ways out of a fastener that does not come undone, and where they have no place."""

import pytest

from sequencer.errors import SequencerError
from sequencer.plan.hazards.trouble import next_way, states, ways_out
from tests.plan.jobs import machine_of

TEXT = """
machine: Invented, rusty
positions: {front: {label: In front}}
parts:
  bracket:
    joints: {bolts: {kind: bolt, head: 13, count: 3}}
  fuel-rail:
    joints: {bolts: {kind: bolt, head: 10}}
  guard:
    behind: [fuel-rail]
    joints: {screws: {kind: screw, head: T25}}
  belt:
    joints: {tensioner: {kind: bolt, head: 15}}
  stub:
    joints: {hose: {kind: hose}}
"""


@pytest.fixture
def machine():
    return machine_of(TEXT)


def names(machine, part, joint, state):
    return [way.name for way in ways_out(machine, machine.joint(part, joint), state)]


@pytest.mark.parametrize("state", sorted(states()))
def test_every_trouble_of_a_bolt_has_a_way_with_time_tools_caution_and_source(machine, state):
    found = ways_out(machine, machine.joint("bracket", "bolts"), state)
    assert found
    for way in found:
        assert way.seconds > 0
        assert way.tools
        assert way.cautions
        assert way.source == "common practice"


def test_the_gentlest_comes_first_and_the_drill_last(machine):
    found = names(machine, "bracket", "bolts", "seized")
    assert found[0] == "penetrant"
    assert found.index("penetrant") < found.index("heat") < found.index("extract") < found.index("drill-out")


@pytest.mark.parametrize(
    ("part", "joint"), [("fuel-rail", "bolts"), ("guard", "screws"), ("belt", "tensioner")]
)
def test_heat_and_sparks_are_barred_beside_fuel_and_springs(machine, part, joint):
    found = ways_out(machine, machine.joint(part, joint), "seized")
    barred = {way.name for way in found if way.barred}
    assert {"heat", "extract", "drill-out"} <= barred
    assert next_way(found, ["penetrant", "shock"]) is None
    assert [way.barred is None for way in found] == sorted((w.barred is None for w in found), reverse=True)


def test_a_hose_is_cut_not_drilled(machine):
    found = names(machine, "stub", "hose", "stuck")
    assert "hose-cut" in found
    assert not {"extract", "drill-out"} & set(found)


def test_times_are_for_as_many_fasteners_as_are_in_trouble(machine):
    joint = machine.joint("bracket", "bolts")
    one, three = (ways_out(machine, joint, "seized", count)[0].seconds for count in (1, 3))
    assert three == 3 * one


def test_an_unknown_trouble_is_refused_with_those_that_are_known(machine):
    with pytest.raises(SequencerError, match="seized"):
        ways_out(machine, machine.joint("bracket", "bolts"), "lost")
