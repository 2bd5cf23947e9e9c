"""The library's assemblies, as a mechanic of that trade checks them first (common practice).

Each fact is asked of the orders of work both ways, which are proven. The machines around the assemblies are
invented.
"""

import pytest

from sequencer.critic import findings
from sequencer.critic.whole import job_of
from sequencer.machine import read_text
from sequencer.machine.assembly.shelf import shipped
from sequencer.plan.practice.rules import Practice
from tests.plan.jobs import names, there_and_back

CAR = """\
machine: Light trailer with one driven wheel, invented
include:
  - {assembly: wheel-end, version: 1, as: r, at: hub, with: {raised: raise, beside: beside}}
positions: {front: , beside: , hub: {needs: [raise]}}
tasks:
  raise: {label: Raise it onto stands, time: 8 min, rated: true, after: [r-ease], undo: {label: Let it down}}
parts: {shaft: {from: hub, behind: [r-hub], joints: {clip: {kind: clip}}}}
"""
FAN = """\
machine: Fan, invented
include:
  - {assembly: belt-drive, version: 1, as: d, at: front, with: {stopped: isolate}}
positions: {front: }
tasks:
  isolate: {label: Isolate and lock the supply, undo: {label: Supply on; a first run with the guard on}}
parts:
  fan: {weight: 2 kg, behind: [d-pulley], joints: {bolts: {kind: bolt, head: 10, count: 3, torque: 9 N.m}}}
"""
MACHINES = {"wheel-end": CAR, "belt-drive": FAN}
JOBS = {
    "wheel-end": ("r-pads", "r-disc", "r-hub", "r-caliper", "shaft"),
    "belt-drive": ("d-belt", "d-tensioner", "d-pulley", "fan"),
}


def both_ways(text, target):
    removal, refit = there_and_back(text, [("off", target)], practice=Practice.ALL)
    assert removal.proven
    assert refit.proven
    return removal, refit


def comes(order, *these):
    """Whether the operations come in this order, all of them."""
    places = [order.index(one) for one in these]
    return places == sorted(places)


def test_every_assembly_that_ships_is_tried_here():
    assert shipped() == sorted(MACHINES) == sorted(JOBS)


@pytest.mark.parametrize("name", MACHINES)
def test_nothing_is_wrong_with_it_or_odd(name):
    reading = read_text(MACHINES[name], "machine.yaml")
    assert [str(fault) for fault in reading.faults] == []
    assert list(findings(reading.machine, *job_of(reading.machine, ()))) == []


@pytest.mark.parametrize(("name", "job"), [(name, job) for name, jobs in JOBS.items() for job in jobs])
def test_each_typical_job_is_planned_both_ways_and_proven(name, job):
    removal, refit = both_ways(MACHINES[name], job)
    assert [one.text for one in removal.targets] == [job]
    assert len(refit.steps) > 3


class TestWheelEnd:
    def test_the_bolts_are_eased_on_the_ground_and_torqued_there_crosswise(self):
        removal, refit = both_ways(CAR, "r-disc")
        assert comes(names(removal), "task r-ease", "task raise", "undo r-wheel/bolts")
        assert comes(names(refit), "fasten r-wheel/bolts", "restore raise", "torque r-wheel/bolts")
        torque = removal.machine.parts["r-wheel"].joints["bolts"].torque
        assert (torque.pattern, torque.again) == ("cross", "after the first drive")

    def test_pads_and_disc_come_without_the_brake_line_and_the_caliper_hangs_from_a_wire(self):
        removal, _ = both_ways(CAR, "r-disc")
        assert not any("hose" in name for name in names(removal))
        assert comes(
            names(removal), "move-aside r-caliper", "remove r-pads", "remove r-carrier", "remove r-disc"
        )
        assert "never by its hose" in removal.machine.parts["r-caliper"].tie

    def test_the_axle_nut_gives_way_while_the_brake_holds_it_and_is_new(self):
        removal, refit = both_ways(CAR, "r-hub")
        assert comes(names(removal), "crack r-axle-nut/nut", "undo r-caliper/pins", "remove r-hub")
        assert comes(names(refit), "move-back r-caliper", "torque r-axle-nut/nut")
        assert [one.item for one in removal.machine.parts["r-axle-nut"].renew] == ["Axle nut"]

    def test_an_opened_line_is_shut_first_and_bled_before_the_wheel_is_on(self):
        removal, refit = both_ways(CAR, "r-caliper")
        assert comes(names(removal), "task r-shut-off", "undo r-hose/banjo")
        assert comes(names(refit), "torque r-hose/banjo", "restore r-shut-off", "fit r-wheel")
        assert removal.machine.parts["r-hose"].renew[0].count == 2

    def test_the_pedal_is_hard_before_the_wheels_turn_and_dust_is_never_blown_out(self):
        caliper = read_text(CAR).machine.parts["r-caliper"]
        assert any("Pedal" in text and "hard" in text for text in caliper.cautions.way_back)
        assert any("never blow it out" in text for text in caliper.cautions.way_in)


class TestBeltDrive:
    def test_the_machine_can_not_start_before_the_guard_is_off_and_until_it_is_on(self):
        removal, refit = both_ways(FAN, "d-belt")
        assert comes(names(removal), "task isolate", "undo d-guard/screws", "remove d-belt")
        assert comes(names(refit), "fasten d-guard/screws", "restore isolate")

    def test_pulley_bolts_are_broken_loose_while_the_belt_holds_them(self):
        removal, refit = both_ways(FAN, "d-pulley")
        assert comes(names(removal), "crack d-pulley/bolts", "remove d-belt", "undo d-pulley/bolts")
        assert comes(names(refit), "fasten d-belt/tension", "torque d-pulley/bolts")

    def test_the_belts_run_is_drawn_before_it_comes_off(self):
        removal, _ = both_ways(FAN, "d-belt")
        assert comes(names(removal), "task d-run", "undo d-belt/tension")

    def test_it_is_turned_by_hand_before_the_guard_hides_it(self):
        _, refit = both_ways(FAN, "d-tensioner")
        assert comes(names(refit), "fasten d-belt/tension", "restore d-run", "fit d-guard")

    def test_the_spring_is_let_go_slowly_and_the_tensioner_sits_on_its_peg(self):
        machine = read_text(FAN).machine
        assert any("slowly" in text for text in machine.parts["d-belt"].cautions.way_in)
        assert any("peg" in text for text in machine.parts["d-tensioner"].notes.way_in)
