"""The library's assemblies of a car's drive and brakes, and of guards, as a mechanic checks them first.

All of it is common practice.
"""

from tests.plan.assembly_engine import ESTATE
from tests.plan.assembly_machines import FAN, both_ways, comes
from tests.plan.jobs import machine_of, names
from tests.support.profile import before_landing

PARTS = machine_of(ESTATE).parts
TASKS = machine_of(ESTATE).tasks


class TestClutchJoint:
    @before_landing
    def test_engine_and_gearbox_are_carried_before_the_mount_is_off_and_nobody_is_under_what_a_jack_holds(
        self,
    ):
        removal, refit = both_ways(ESTATE, "c-gearbox")
        order = names(removal)
        assert comes(order, "task c-hold-engine", "task c-jack", "undo c-mount/box", "undo c-gearbox/bolts")
        assert order[-3:] == ["undo c-gearbox/bolts", "remove c-gearbox", "restore c-jack"]
        assert names(refit)[:2] == ["task c-jack", "fit c-gearbox"]

    def test_it_never_hangs_on_its_shaft_and_its_bolts_do_not_draw_it_home(self):
        bolts = PARTS["c-gearbox"].joints["bolts"]
        assert "never hangs on its shaft" in bolts.cautions.way_in[0]
        assert "closes by hand" in bolts.notes.way_back[0]
        assert "Dowels" in PARTS["c-gearbox"].prepare[0]

    @before_landing
    def test_the_plate_is_let_go_crosswise_and_its_disc_is_centred_while_it_is_torqued(self):
        removal, refit = both_ways(ESTATE, "c-disc")
        assert comes(names(removal), "task c-lock", "undo c-plate/bolts", "remove c-plate", "remove c-disc")
        assert comes(
            names(refit),
            "fit c-disc",
            "fit c-plate",
            "task c-centre",
            "torque c-plate/bolts",
            "restore c-centre",
        )
        assert PARTS["c-plate"].joints["bolts"].torque.pattern == "cross"
        assert "crosswise" in PARTS["c-plate"].joints["bolts"].cautions.way_in[0]

    def test_lining_dust_is_never_blown_and_the_lining_is_not_touched(self):
        assert "never blown" in PARTS["c-plate"].cautions.way_in[0]
        assert any("No grease and no finger" in text for text in PARTS["c-disc"].prepare)
        assert "faces it" in PARTS["c-disc"].prepare[0]

    @before_landing
    def test_flywheel_bolts_are_new_and_held_by_a_lock_and_the_mount_is_torqued_under_its_load(self):
        removal, refit = both_ways(ESTATE, "c-flywheel")
        assert comes(names(removal), "task c-lock", "undo c-flywheel/bolts", "restore c-lock")
        assert comes(names(refit), "task c-lock", "torque c-flywheel/bolts", "fit c-disc")
        assert comes(names(refit), "torque c-gearbox/bolts", "restore c-hold-engine", "torque c-mount/frame")
        bolts = PARTS["c-flywheel"].joints["bolts"]
        assert {one.item: one.count for one in PARTS["c-flywheel"].renew} == {"Flywheel bolt": bolts.count}


class TestTimingBelt:
    def test_cam_and_crank_are_pinned_before_it_is_slack_and_turned_twice_before_it_is_covered(self):
        removal, refit = both_ways(ESTATE, "t-belt")
        assert comes(names(removal), "remove spark-plugs", "task t-time-up", "undo t-belt/tension")
        assert comes(names(refit), "torque t-belt/tension", "restore t-time-up", "fit t-upper-cover")
        assert "two full turns by hand" in TASKS["t-time-up"].undo.label

    def test_it_is_tensioned_cold_to_the_mark_and_looked_at_again(self):
        note = PARTS["t-belt"].joints["tension"].notes.way_back[0]
        assert "Engine cold" in note
        assert "meets its mark" in note
        assert "after two turns looked at again" in note

    def test_the_belt_is_new_never_folded_and_goes_with_its_tensioner_and_pump(self):
        belt = PARTS["t-belt"]
        assert belt.renew[0].item == "Timing belt"
        said = " ".join(belt.prepare)
        for word in ("never folded", "free of oil", "renewed with it", "water pump"):
            assert word in said
        assert PARTS["t-tensioner"].renew
        assert PARTS["t-idler"].renew

    def test_crank_and_cam_bolts_are_held_by_a_holder_and_not_by_the_belt(self):
        removal, refit = both_ways(ESTATE, "t-cam-pulley")
        assert comes(names(removal), "task t-hold", "undo t-pulley/bolt", "restore t-hold")
        assert comes(names(removal), "crack t-cam-pulley/bolts", "remove t-belt", "undo t-cam-pulley/bolts")
        assert comes(names(refit), "task t-hold", "torque t-pulley/bolt", "restore t-hold")
        assert "neither belt nor pin" in PARTS["t-cam-pulley"].joints["bolts"].cautions.way_in[0]

    def test_nothing_is_turned_while_it_is_off(self):
        cautions = PARTS["t-belt"].cautions
        assert all("valves and pistons meet" in said[0] for said in (cautions.way_in, cautions.way_back))


class TestDrumBrake:
    def test_the_wheel_is_eased_and_torqued_on_the_ground_and_the_hand_brake_is_off_in_between(self):
        removal, refit = both_ways(ESTATE, "l-drum")
        assert comes(names(removal), "task l-ease", "task raise", "task l-slacken", "undo l-drum/screw")
        assert comes(names(refit), "fasten l-wheel/bolts", "restore raise", "torque l-wheel/bolts")
        assert "stands and chocks" in TASKS["l-slacken"].notes.way_in[0]

    def test_dust_is_wiped_off_damp_and_springs_fly(self):
        assert all("never blow it out" in PARTS[name].cautions.way_in[0] for name in ("l-drum", "l-shoes"))
        assert "goggles" in PARTS["l-springs"].cautions.way_in[0]

    def test_how_it_lies_is_kept_and_the_other_side_stays_together(self):
        removal, _ = both_ways(ESTATE, "l-shoes")
        assert comes(names(removal), "task l-picture", "undo l-springs/hooks", "undo l-shoes/cups")
        assert "stays together as a pattern" in TASKS["l-picture"].label

    def test_both_sides_get_new_shoes_and_grease_only_on_the_pads(self):
        said = " ".join(PARTS["l-shoes"].prepare)
        assert "Both sides of the axle" in said
        assert "none on lining or drum" in said
        assert PARTS["l-shoes"].renew[0].count == 2

    def test_it_is_bled_if_it_was_opened_and_set_with_the_drum_on_before_the_wheel(self):
        _, refit = both_ways(ESTATE, "l-cylinder")
        order = names(refit)
        assert comes(order, "torque l-cylinder/pipe", "fit l-drum", "restore l-slacken", "fit l-wheel")
        assert comes(order, "torque l-cylinder/pipe", "restore l-shut-off", "fit l-wheel")
        assert "restore l-shut-off" not in names(both_ways(ESTATE, "l-shoes")[1])


class TestStarter:
    def test_the_battery_is_off_before_the_cable_is_touched_and_on_again_when_it_is_tight(self):
        removal, refit = both_ways(ESTATE, "s-starter")
        assert comes(names(removal), "task isolate", "undo s-cable/nut", "remove s-starter")
        assert comes(names(refit), "torque s-cable/nut", "restore isolate")

    def test_it_is_worked_at_on_stands_with_a_cold_exhaust(self):
        removal, _ = both_ways(ESTATE, "s-starter")
        assert comes(names(removal), "task raise", "undo s-shield/screws", "undo s-starter/bolts")
        assert "cold to the hand" in PARTS["s-shield"].cautions.way_in[0]

    def test_a_hand_is_under_it_for_the_last_bolt(self):
        removal, _ = both_ways(ESTATE, "s-starter")
        assert names(removal)[-2:] == ["undo s-starter/bolts", "remove s-starter"]
        assert "a hand under it" in PARTS["s-starter"].cautions.way_in[0]

    def test_faces_are_bare_and_the_flywheels_teeth_are_looked_at(self):
        faces, teeth, _ = PARTS["s-starter"].prepare
        assert "bare and dry" in faces
        assert "flywheel's teeth" in teeth

    def test_shims_go_back_and_the_studs_nut_does_not_break_the_cap(self):
        assert "Shims come out with it and go back" in PARTS["s-starter"].notes.way_in[0]
        assert "two spanners" in PARTS["s-cable"].joints["nut"].notes.way_back[0]


class TestGuardPanels:
    def test_it_is_isolated_and_seen_to_stand_still_before_the_panel_is_opened(self):
        removal, refit = both_ways(FAN, "g-guard")
        assert comes(names(removal), "task isolate", "task g-still", "undo g-panel/latches")
        assert comes(names(refit), "fasten g-guard/screws", "fasten g-panel/latches", "restore isolate")
        assert "under pressure" in machine_of(FAN).tasks["g-still"].cautions.way_in[0]

    def test_the_earth_lead_is_off_before_the_panel_is_carried_away_and_on_before_it_is_hung(self):
        removal, refit = both_ways(FAN, "g-panel")
        assert names(removal)[-4:] == [
            "undo g-panel/latches",
            "undo g-panel/earth",
            "undo g-panel/hooks",
            "remove g-panel",
        ]
        assert comes(names(refit), "fasten g-panel/earth", "fasten g-panel/latches")
        assert "measured" in machine_of(FAN).parts["g-panel"].joints["earth"].notes.way_back[0]

    def test_the_switch_is_never_bridged_and_is_tried(self):
        _, refit = both_ways(FAN, "g-guard")
        assert "never bridged" in machine_of(FAN).parts["g-switch"].cautions.way_in[0]
        assert comes(names(refit), "fasten g-switch/plug", "restore isolate", "task try-switch")

    def test_nothing_is_left_inside_and_no_screw_is_missing(self):
        screws, inside = machine_of(FAN).parts["g-guard"].prepare
        assert "no screw missing" in screws
        assert "tools counted" in inside

    def test_the_guard_goes_on_before_the_supply_for_a_trial_as_well(self):
        assert "for a trial as well" in machine_of(FAN).parts["g-guard"].cautions.way_back[0]
