"""The library's assemblies, as a mechanic of that trade checks them first (common practice).

Each fact is asked of the orders of work both ways, which are proven. The machines around the assemblies are
invented.
"""

import re
from pathlib import Path

import pytest

from sequencer.critic import findings
from sequencer.critic.whole import job_of
from sequencer.machine import read_text
from sequencer.machine.assembly.shelf import shipped
from sequencer.plan.practice.rules import Practice
from tests.plan.jobs import names, there_and_back

GUIDE = (Path(__file__).parents[2] / "examples/guide/assemblies.md").read_text("utf-8")

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
ENGINE = """\
machine: Engine on a stand, invented
include:
  - {assembly: thermostat-housing, version: 1, as: t, at: front, with: {coolant: coolant, way: [duct]}}
  - {assembly: cam-cover, version: 1, as: c, at: front, with: {way: [duct]}}
  - {assembly: sump, version: 1, as: s, at: under, with: {oil: oil}}
  - {assembly: water-pump, version: 1, as: w, at: front, with: {coolant: coolant, way: [duct]}}
  - {assembly: exhaust-manifold, version: 1, as: e, at: {side: front, under: under}}
positions: {front: {label: At the front}, under: {label: Underneath, needs: [raise], below: true}}
fluids:
  coolant: {label: Coolant, volume: 6 L, drain: {from: front, time: 8 min}, fill: {from: front, time: 8 min}}
  oil: {label: Engine oil, volume: 4 L, fill: {from: front, time: 5 min},
        drain: {from: under, time: 8 min, plug: {torque: 30 N.m, thread: M14x1.5, renew: Plug ring}}}
tasks:
  raise: {label: Raise it onto stands, time: 8 min, rated: true, undo: {label: Let it down}}
  run: {label: First run; look for leaks; bleed it, only: back, time: 10 min, behind: [coolant, oil]}
parts: {duct: {label: Air duct, joints: {clips: {kind: clip, count: 2}}}}
"""
MOTOR = """\
machine: Electric motor, invented
include:
  - {assembly: bearing-shaft, version: 1, as: b, at: bench, with: {stopped: isolate, way: [coupling]}}
positions: {bench: {label: At the bench}}
tasks:
  isolate: {label: Isolate and lock the supply, undo: {label: Supply on; a first run by itself}}
first: [isolate]
parts:
  coupling: {label: Coupling half, joints: {screw: {kind: screw, head: allen 4, torque: 6 N.m}}}
"""
PRESS = """\
machine: Press, invented
include:
  - {assembly: flange-pump, version: 1, as: p, at: back,
     with: {stopped: isolate, relieved: relieve, oil: oil}}
positions: {back: {label: At the back}}
fluids: {oil: {label: Hydraulic oil, volume: 10 L, drain: {time: 10 min}, fill: {time: 8 min}}}
tasks:
  isolate: {label: Isolate and lock the supply, undo: {label: Supply on; a first run; look for leaks}}
  relieve: {label: Ram down; pressure off at the valve, after: [isolate], undo: {label: Valve shut}}
first: [isolate]
parts: {lid: {label: Lid, joints: {screws: {kind: screw, head: T25, count: 4}}}}
"""
MACHINES = {
    "wheel-end": CAR,
    "flange-pump": PRESS,
    "belt-drive": FAN,
    "bearing-shaft": MOTOR,
} | dict.fromkeys(("cam-cover", "exhaust-manifold", "sump", "thermostat-housing", "water-pump"), ENGINE)
JOBS = {
    "bearing-shaft": ("b-cover", "b-seal", "b-bearing"),
    "belt-drive": ("d-belt", "d-tensioner", "d-pulley", "fan"),
    "cam-cover": ("c-breather", "c-cover"),
    "exhaust-manifold": ("e-shield", "e-manifold"),
    "flange-pump": ("p-suction", "p-pressure", "p-pump"),
    "sump": ("s-level-plug", "s-pan"),
    "thermostat-housing": ("t-hose", "t-housing", "t-thermostat"),
    "water-pump": ("w-hose", "w-pump"),
    "wheel-end": ("r-pads", "r-disc", "r-hub", "r-caliper", "shaft"),
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


def test_every_assembly_that_ships_is_tried_here_and_stands_in_the_guide():
    assert shipped() == sorted(MACHINES) == sorted(JOBS)
    assert (
        re.findall(r"(?m)^\| `([a-z-]+)` \|", GUIDE.partition("## The library")[2])[: len(JOBS)] == shipped()
    )


@pytest.mark.parametrize("name", MACHINES)
def test_nothing_is_wrong_with_it_or_odd(name):
    reading = read_text(MACHINES[name], "machine.yaml")
    assert [str(fault) for fault in reading.faults] == []
    assert list(findings(reading.machine, *job_of(reading.machine, ()))) == []


@pytest.mark.parametrize(("name", "job"), [(name, job) for name, jobs in JOBS.items() for job in jobs])
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


class TestThermostatHousing:
    def test_the_coolant_is_drained_before_anything_is_opened_and_the_engine_is_cold(self):
        removal, _ = both_ways(ENGINE, "t-thermostat")
        assert comes(names(removal), "drain coolant", "undo t-hose/clamp", "undo t-housing/bolts")
        assert any("cold" in text for text in removal.machine.parts["t-housing"].cautions.way_in)

    def test_the_hose_and_the_sensor_are_off_before_the_housing(self):
        removal, _ = both_ways(ENGINE, "t-housing")
        assert comes(names(removal), "remove t-hose", "remove t-housing")
        assert comes(names(removal), "undo t-housing/plug", "remove t-housing")

    def test_which_way_up_it_sits_is_noted_and_said_again(self):
        notes = read_text(ENGINE).machine.parts["t-thermostat"].notes
        assert "before it comes out" in notes.way_in[0]
        assert "Spring to the engine" in notes.way_back[0]

    def test_its_ring_is_new_and_the_faces_are_clean(self):
        parts = read_text(ENGINE).machine.parts
        assert "Ring" in parts["t-thermostat"].renew[0].item
        assert "clean" in parts["t-housing"].prepare[0]

    def test_the_housing_is_torqued_before_the_coolant_is_in_and_that_is_looked_at(self):
        _, refit = both_ways(ENGINE, "t-thermostat")
        assert comes(names(refit), "torque t-housing/bolts", "fill coolant", "leak-check coolant", "task run")


class TestCamCover:
    def test_dirt_is_off_before_it_is_open(self):
        removal, _ = both_ways(ENGINE, "c-cover")
        assert comes(names(removal), "remove duct", "task c-clean", "undo c-cover/bolts")

    def test_the_breather_comes_first_and_breaks_when_it_is_forced(self):
        removal, _ = both_ways(ENGINE, "c-cover")
        assert comes(names(removal), "remove c-breather", "remove c-cover")
        assert "breaks" in removal.machine.parts["c-breather"].notes.way_in[0]

    def test_the_gasket_is_new_and_both_faces_are_dry(self):
        cover = read_text(ENGINE).machine.parts["c-cover"]
        assert "Gasket" in cover.renew[0].item
        assert "dry" in cover.prepare[0]

    def test_nothing_falls_in_and_nothing_is_left_in(self):
        cover = read_text(ENGINE).machine.parts["c-cover"]
        assert "cloth" in cover.notes.way_in[0]
        assert any("rag" in text for text in cover.prepare)

    def test_small_bolts_are_torqued_from_the_middle_out_with_little(self):
        torque = read_text(ENGINE).machine.parts["c-cover"].joints["bolts"].torque
        assert torque.pattern == "spiral"
        assert torque.stages[0].newton_metres <= 12


class TestSump:
    def test_it_stands_on_stands_and_the_oil_is_out_first(self):
        removal, _ = both_ways(ENGINE, "s-pan")
        assert comes(names(removal), "task raise", "drain oil", "undo s-pan/bolts", "remove s-pan")

    def test_the_bead_is_parted_with_a_blade_and_no_lever(self):
        notes = read_text(ENGINE).machine.parts["s-pan"].notes
        assert "blade" in notes.way_in[0]
        assert "never a lever" in notes.way_in[0]

    def test_from_the_bead_to_the_torque_nothing_else_is_done(self):
        _, refit = both_ways(ENGINE, "s-pan")
        order = names(refit)
        bead = order.index("seal s-pan")
        assert order[bead : bead + 4] == [
            "seal s-pan",
            "fit s-pan",
            "fasten s-pan/bolts",
            "torque s-pan/bolts",
        ]

    def test_oil_waits_for_the_cure(self):
        sealing = read_text(ENGINE).machine.parts["s-pan"].sealing
        assert (sealing.wet, sealing.cure) == (("oil",), 12 * 3600)

    def test_faces_are_clean_and_the_strainer_is_looked_at(self):
        prepare = read_text(ENGINE).machine.parts["s-pan"].prepare
        assert "free of oil" in prepare[0]
        assert "Strainer" in prepare[1]


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


class TestWaterPump:
    def test_the_coolant_is_out_and_what_drives_it_is_off_first_and_the_engine_is_cold(self):
        removal, _ = both_ways(ENGINE, "w-pump")
        assert comes(names(removal), "drain coolant", "undo w-hose/clamp", "undo w-pump/bolts")
        assert comes(names(removal), "remove duct", "undo w-hose/clamp")
        assert any("cold" in text for text in removal.machine.parts["w-pump"].cautions.way_in)

    def test_bolts_of_several_lengths_keep_their_holes(self):
        assert "differ in length" in read_text(ENGINE).machine.parts["w-pump"].notes.way_in[0]

    def test_its_gasket_is_new_and_the_faces_are_not_scratched(self):
        pump = read_text(ENGINE).machine.parts["w-pump"]
        assert "Gasket" in pump.renew[0].item
        assert "without a scratch" in pump.prepare[0]

    def test_play_and_weep_hole_are_looked_at(self):
        assert "weep hole" in read_text(ENGINE).machine.parts["w-pump"].prepare[1]

    def test_it_is_torqued_before_it_is_filled_and_leaks_are_looked_for(self):
        _, refit = both_ways(ENGINE, "w-pump")
        assert comes(
            names(refit), "torque w-pump/bolts", "fasten w-hose/clamp", "fill coolant", "leak-check coolant"
        )


class TestExhaustManifold:
    def test_the_shield_is_off_and_the_nuts_have_soaked_before_they_are_turned(self):
        removal, _ = both_ways(ENGINE, "e-manifold")
        assert comes(names(removal), "remove e-shield", "task e-soak", "undo e-manifold/pipe")
        assert comes(names(removal), "task e-soak", "undo e-manifold/nuts")

    def test_the_pipe_is_undone_from_below_on_stands_before_the_manifold_hangs_on_it(self):
        removal, _ = both_ways(ENGINE, "e-manifold")
        assert comes(names(removal), "task raise", "undo e-manifold/pipe", "undo e-manifold/nuts")

    def test_it_is_torqued_from_the_middle_and_again_once_it_was_hot(self):
        torque = read_text(ENGINE).machine.parts["e-manifold"].joints["nuts"].torque
        assert (torque.pattern, torque.again) == ("spiral", "after the first heat cycle")

    def test_gasket_ring_and_nuts_are_new_one_nut_for_each_stud(self):
        renew = {one.item: one.count for one in read_text(ENGINE).machine.parts["e-manifold"].renew}
        assert renew == {
            "Gasket of the exhaust manifold": 1,
            "Copper-plated nut": 8,
            "Ring of the down-pipe": 1,
        }

    def test_the_sensor_is_spared_and_the_exhaust_is_cold(self):
        parts = read_text(ENGINE).machine.parts
        assert "no grease" in parts["e-manifold"].notes.way_in[0]
        assert "Cold" in parts["e-shield"].cautions.way_in[0]


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
