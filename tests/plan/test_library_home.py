"""The library's machines of house and garden, as a mechanic checks them first (common practice).

Each fact is asked of the orders of work both ways; that they are proven is asked in ``test_library.py``.
"""

from tests.plan.library_machines import both_ways, comes, machine, orders
from tests.support.profile import before_landing


class TestWashingMachine:
    def test_plug_and_tap_come_first_and_what_is_left_in_it_runs_out_before_it_is_laid_over(self):
        way_in, way_back = orders("washing-machine", "drain-pump")
        assert set(way_in[:2]) == {"task isolate", "task tap"}
        assert comes(way_in, "drain water", "task lay-down", "undo sump-hose/pump-end", "remove drain-pump")
        assert comes(
            way_back, "restore lay-down", "fill water", "leak-check water", "restore isolate", "task trial"
        )

    def test_a_leak_is_looked_for_before_the_kick_strip_hides_it_and_before_the_plug_is_in(self):
        _, way_back = orders("washing-machine", "door-seal")
        assert comes(
            way_back,
            "fasten outer-band/spring",
            "fill water",
            "task look",
            "fit kick-strip",
            "restore isolate",
        )

    def test_the_seal_sits_on_the_tub_before_its_band_and_on_the_front_after_it(self):
        way_in, way_back = orders("washing-machine", "door-seal")
        assert comes(way_in, "undo outer-band/spring", "undo door-seal/lip", "undo door-seal/inner-band")
        assert comes(way_back, "fasten door-seal/rim", "fasten door-seal/inner-band", "fasten door-seal/lip")
        assert "drain holes" in machine("washing-machine").parts["door-seal"].notes.way_back[0]

    @before_landing
    def test_the_concrete_is_off_before_the_tub_hangs_loose_and_on_when_it_hangs_again(self):
        way_in, way_back = orders("washing-machine", "drum-bearing")
        for weight in ("top-weight", "front-weight"):
            assert comes(way_in, f"remove {weight}", "task block-tub", "undo springs/hooks", "remove tub")
            assert comes(
                way_back, "fit tub", "fasten springs/hooks", "restore block-tub", f"torque {weight}/bolts"
            )

    @before_landing
    def test_a_wooden_bar_holds_the_pulley_and_not_the_belt(self):
        way_in, way_back = orders("washing-machine", "drum-bearing")
        assert comes(
            way_in, "remove belt", "task hold-pulley", "undo drum-pulley/bolt", "restore hold-pulley"
        )
        assert comes(
            way_back, "task hold-pulley", "torque drum-pulley/bolt", "restore hold-pulley", "fit belt"
        )

    @before_landing
    def test_the_shaft_seal_goes_with_both_bearings_and_the_earth_is_measured(self):
        way_in, way_back = orders("washing-machine", "drum-bearing")
        assert comes(way_in, "remove drum", "remove shaft-seal", "remove bearing-front")
        assert comes(way_back, "fasten bearing-front/seat", "fasten shaft-seal/seat", "fit drum")
        assert comes(way_back, "fasten motor/earth", "task prove-earth", "fit back-panel", "restore isolate")
        assert "outer race" in machine("washing-machine").parts["bearing-rear"].notes.way_back[0]


class TestGardenTractor:
    @before_landing
    def test_key_and_plug_lead_are_off_before_a_hand_is_near_a_blade(self):
        way_in, way_back = orders("garden-tractor", "blades")
        assert comes(way_in, "task park", "task plug-lead", "undo deck-belt/tension", "undo blade-left/bolt")
        assert comes(way_back, "fasten deck-belt/tension", "restore plug-lead", "task trial")

    @before_landing
    def test_the_lift_lever_is_tied_before_the_decks_weight_is_gone(self):
        way_in, way_back = orders("garden-tractor", "blades")
        assert comes(way_in, "task lower-deck", "task tie-lever", "undo deck/rear-pins", "remove deck")
        assert comes(
            way_back, "fasten deck/front-rod", "restore tie-lever", "restore lower-deck", "task level"
        )

    @before_landing
    def test_each_blade_is_blocked_with_wood_for_its_bolt_both_ways(self):
        way_in, way_back = orders("garden-tractor", "blades")
        for side in ("left", "right"):
            block, bolt = f"block-{side}", f"blade-{side}/bolt"
            assert comes(way_in, "task turn-deck", f"task {block}", f"undo {bolt}", f"restore {block}")
            assert comes(way_back, f"task {block}", f"torque {bolt}", f"restore {block}", "restore turn-deck")
        assert "balanced" in machine("garden-tractor").parts["blade-left"].prepare[0]

    def test_the_belt_is_turned_by_hand_before_its_covers_and_the_covers_are_on_before_it_starts(self):
        way_in, way_back = orders("garden-tractor", "deck-belt")
        assert comes(
            way_in, "task belt-run", "undo deck-belt/tension", "undo deck-belt/clutch-end", "remove deck-belt"
        )
        assert comes(
            way_back,
            "fasten deck-belt/tension",
            "restore belt-run",
            "fit belt-cover-left",
            "restore plug-lead",
        )
        assert comes(way_back, "fasten belt-cover-right/screws", "restore plug-lead", "task trial")

    @before_landing
    def test_the_pulleys_nut_gives_way_while_the_housing_is_bolted_and_the_spacer_is_not_forgotten(self):
        way_in, way_back = orders("garden-tractor", "spindle")
        assert comes(way_in, "undo pulley-left/nut", "undo spindle-left/bolts", "remove spindle-left")
        assert comes(way_back, "torque spindle-left/bolts", "torque pulley-left/nut")
        assert comes(
            way_back, "fit upper-bearing-left", "fit spacer-left", "fit lower-bearing-left", "fit shaft-left"
        )


class TestCoffeeMachine:
    def test_a_gasket_is_changed_on_a_vented_group_with_its_screen_and_nothing_else_open(self):
        way_in, way_back = orders("coffee-machine", "group-gasket")
        assert way_in[:2] == ["task vent", "task isolate"]
        for side in ("left", "right"):
            assert comes(
                way_in, f"remove holder-{side}", f"remove screen-{side}", f"undo gasket-{side}/groove"
            )
            assert comes(way_back, f"fasten gasket-{side}/groove", f"fit screen-{side}", f"fit holder-{side}")
        assert not any("water" in name for name in way_in)
        assert "Bevel up" in machine("coffee-machine").parts["gasket-left"].notes.way_back[0]

    def test_a_valve_is_opened_cold_with_the_tap_shut_and_tried_under_the_tap_before_the_panel_hides_it(self):
        way_in, way_back = orders("coffee-machine", "group-valve")
        assert comes(way_in, "task isolate", "task cool", "task prove-dead", "undo valve-left/outlet")
        assert comes(way_in, "task tap", "undo valve-left/outlet")
        assert comes(
            way_back, "restore tap", "task cold-test", "fit splash-panel", "restore isolate", "task trial"
        )

    def test_steam_is_let_off_and_the_boiler_cold_before_it_is_drained_and_opened(self):
        way_in, _ = orders("coffee-machine", "heating-element")
        assert comes(way_in, "task isolate", "task cool", "drain water", "undo element/flange")
        assert comes(way_in, "task prove-dead", "undo element/leads")

    def test_the_element_is_under_water_tight_and_measured_before_the_current_is_on(self):
        _, way_back = orders("coffee-machine", "heating-element")
        assert comes(way_back, "torque element/flange", "fill water", "task cold-test", "fit element-cover")
        assert comes(
            way_back, "torque element/earth", "task prove-earth", "fit element-cover", "restore isolate"
        )
        assert comes(way_back, "fasten cut-out/clip", "fit element-cover", "restore isolate", "task trial")
        assert not both_ways("coffee-machine", "heating-element")[1].practice.dropped
        assert (
            machine("coffee-machine").parts["element"].joints["flange"].torque.again
            == "cold, after the first heating"
        )

    def test_the_safety_valve_is_renewed_and_never_set(self):
        assert "Never set" in machine("coffee-machine").parts["safety-valve"].cautions.way_in[0]
