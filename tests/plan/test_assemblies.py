"""The library's assemblies, as a mechanic of that trade checks them first (common practice).

Each fact is asked of the orders of work both ways, which are proven. The machines around the assemblies are
invented.
"""

import re
from pathlib import Path

import pytest

from sequencer.critic import findings
from sequencer.critic.whole_order import job_of
from sequencer.machine import read_text
from sequencer.machine.assembly.shelf import shipped
from tests.plan.assembly_machines import CAR, FAN, JOBS, MACHINES, MOTOR, PRESS, both_ways, comes
from tests.plan.jobs import names
from tests.support.profile import before_landing

GUIDE = (Path(__file__).parents[2] / "examples/guide/assemblies.md").read_text("utf-8")


def test_every_assembly_that_ships_is_tried_here_and_stands_in_the_guide():
    assert shipped() == sorted(MACHINES) == sorted(JOBS)
    assert (
        re.findall(r"(?m)^\| `([a-z-]+)` \|", GUIDE.partition("## The library")[2])[: len(JOBS)] == shipped()
    )


@before_landing
@pytest.mark.parametrize("text", dict.fromkeys(MACHINES.values()), ids=lambda text: text.split("\n")[0])
def test_nothing_is_wrong_with_it_or_odd(text):
    reading = read_text(text, "machine.yaml")
    assert [str(fault) for fault in reading.faults] == []
    assert list(findings(reading.machine, *job_of(reading.machine, ()))) == []


LONGER = ("h-head", "k-cover", "k-chain", "c-disc", "c-flywheel")
"""The jobs that take longest."""

TYPICAL = [
    pytest.param(name, job, marks=[before_landing] if job in LONGER else [], id=f"{name}-{job}")
    for name, jobs in JOBS.items()
    for job in jobs
]


@pytest.mark.parametrize(("name", "job"), TYPICAL)
def test_each_typical_job_is_planned_both_ways_and_proven(name, job):
    removal, refit = both_ways(MACHINES[name], job)
    assert [one.text for one in removal.targets] == [job]
    assert len(refit.steps) >= 3


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


class TestBearingOnAShaft:
    def test_the_ring_is_off_before_the_puller_is_on(self):
        removal, refit = both_ways(MOTOR, "b-bearing")
        assert comes(names(removal), "task isolate", "remove b-ring", "undo b-bearing/fit")
        assert comes(names(refit), "fasten b-bearing/fit", "fit b-ring")

    def test_it_is_pulled_and_pressed_by_its_inner_ring(self):
        bearing = read_text(MOTOR).machine.parts["b-bearing"]
        assert "inner ring" in bearing.notes.way_in[0]
        assert "inner ring" in bearing.notes.way_back[0]
        assert bearing.joints["fit"].tool != bearing.joints["fit"].together.tool

    def test_seal_ring_and_bearing_are_new(self):
        parts = read_text(MOTOR).machine.parts
        assert all(parts[f"b-{name}"].renew for name in ("seal", "ring", "bearing"))

    def test_the_lip_is_greased_and_looks_the_right_way(self):
        parts = read_text(MOTOR).machine.parts
        assert "Lip greased and towards" in parts["b-seal"].prepare[0]
        assert "burr" in parts["b-cover"].prepare[0]

    def test_a_ring_flies_and_a_puller_stands_under_load(self):
        parts = read_text(MOTOR).machine.parts
        assert "flies" in parts["b-ring"].cautions.way_in[0]
        assert "under load" in parts["b-bearing"].cautions.way_in[0]


class TestFlangePump:
    def test_it_is_locked_off_without_pressure_and_drained_before_a_line_is_opened(self):
        removal, _ = both_ways(PRESS, "p-pump")
        assert comes(names(removal), "task isolate", "task relieve", "undo p-pressure/union")
        assert comes(names(removal), "drain oil", "undo p-suction/union")

    def test_both_lines_are_off_before_the_flange_is(self):
        removal, _ = both_ways(PRESS, "p-pump")
        assert comes(names(removal), "remove p-suction", "remove p-pump")
        assert comes(names(removal), "remove p-pressure", "remove p-pump")

    def test_pressure_that_is_left_hurts_nobody(self):
        assert "slowly" in read_text(PRESS).machine.parts["p-pressure"].cautions.way_in[0]

    def test_its_ports_are_marked_and_its_ring_is_new(self):
        pump = read_text(PRESS).machine.parts["p-pump"]
        assert "pressure side" in pump.notes.way_in[0]
        assert "Ring" in pump.renew[0].item

    def test_it_is_primed_by_hand_torqued_crosswise_and_never_run_dry(self):
        _, refit = both_ways(PRESS, "p-pump")
        pump = refit.machine.parts["p-pump"]
        assert "Filled with clean oil" in pump.prepare[1]
        assert pump.joints["bolts"].torque.pattern == "cross"
        for tight in ("p-pump/bolts", "p-suction/union", "p-pressure/union"):
            assert comes(names(refit), f"torque {tight}", "fill oil", "restore isolate")


class TestPlugInUnit:
    def test_it_is_dead_before_the_lid_is_off(self):
        removal, refit = both_ways(FAN, "u-unit")
        assert comes(names(removal), "task isolate", "undo u-lid/screws", "undo u-unit/plugs")
        assert comes(names(refit), "fasten u-lid/screws", "restore isolate")

    def test_a_stored_charge_is_thought_of(self):
        assert "stored charge" in read_text(FAN).machine.parts["u-unit"].cautions.way_in[0]

    def test_plugs_are_tagged_and_drawn_by_their_bodies(self):
        notes = read_text(FAN).machine.parts["u-unit"].notes
        assert "tagged" in notes.way_in[0]
        assert "not by its leads" in notes.way_in[0]

    def test_the_earth_lead_goes_on_first_and_is_measured_and_latches_click(self):
        _, refit = both_ways(FAN, "u-unit")
        assert comes(names(refit), "fasten u-unit/earth", "task u-prove-earth", "fit u-lid")
        assert "Earth lead first" in read_text(FAN).machine.parts["u-unit"].notes.way_back[0]

    def test_the_new_one_is_the_same_and_set_alike(self):
        assert "same number" in read_text(FAN).machine.parts["u-unit"].prepare[0]
