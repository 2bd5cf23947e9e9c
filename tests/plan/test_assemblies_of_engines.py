"""The library's assemblies of an engine, as a mechanic checks them first (common practice)."""

from sequencer.machine import read_text
from tests.plan.assembly_machines import ENGINE, FAN, both_ways, comes
from tests.plan.jobs import names


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
        assert (sealing.against, sealing.cure) == (("oil",), 12 * 3600)

    def test_faces_are_clean_and_the_strainer_is_looked_at(self):
        prepare = read_text(ENGINE).machine.parts["s-pan"].prepare
        assert "free of oil" in prepare[0]
        assert "Strainer" in prepare[1]


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


class TestAlternator:
    def test_the_battery_is_off_before_the_cable_is_touched_and_on_again_last(self):
        removal, refit = both_ways(FAN, "a-alternator")
        assert comes(names(removal), "task isolate", "undo a-cable/nut", "remove a-alternator")
        assert comes(names(refit), "torque a-cable/nut", "restore isolate")

    def test_the_belt_is_off_before_its_bolts_are(self):
        removal, _ = both_ways(FAN, "a-alternator")
        assert comes(names(removal), "remove d-belt", "undo a-alternator/upper")
        assert comes(names(removal), "remove d-belt", "undo a-alternator/lower")

    def test_both_bolts_are_torqued_before_it_is_driven(self):
        _, refit = both_ways(FAN, "a-alternator")
        for bolt in ("upper", "lower"):
            assert comes(names(refit), f"torque a-alternator/{bolt}", "restore isolate")

    def test_the_boot_covers_the_lug(self):
        assert "boot covers" in read_text(FAN).machine.parts["a-cable"].prepare[0]

    def test_its_pulley_runs_in_line(self):
        assert "in line" in read_text(FAN).machine.parts["a-alternator"].prepare[0]
