"""The library's machines of the road, as a mechanic of that trade checks them first (common practice).

Each fact is asked of the orders of work both ways; that they are proven is asked in ``test_library.py``.
"""

from tests.plan.library_machines import comes, machine, orders
from tests.support.profile import before_landing


class TestMotorcycleRear:
    def test_it_hangs_at_the_frame_and_the_arm_is_propped_before_the_shock_lets_go(self):
        way_in, way_back = orders("motorcycle-rear", "shock")
        assert comes(way_in, "task strap-front", "task raise", "task jack-arm", "undo shock/lower")
        assert comes(way_in, "undo shock/lower", "undo shock/upper", "remove shock")
        assert comes(
            way_back, "torque shock/upper", "restore jack-arm", "restore raise", "restore strap-front"
        )
        assert "never under the swing arm" in machine("motorcycle-rear").tasks["raise"].cautions.way_in[0]

    def test_the_shock_comes_out_whole(self):
        assert "neither opened, drilled" in machine("motorcycle-rear").parts["shock"].cautions.way_in[0]

    @before_landing
    def test_the_big_nuts_are_broken_loose_on_its_wheels(self):
        way_in, way_back = orders("motorcycle-rear", "chain-and-sprockets")
        assert comes(way_in, "task hold-brake", "undo front-sprocket/nut", "restore hold-brake", "task raise")
        assert comes(way_in, "task ease-axle", "task raise", "undo axle/nut")
        assert comes(
            way_back, "restore raise", "task hold-brake", "torque front-sprocket/nut", "restore hold-brake"
        )

    @before_landing
    def test_the_chain_is_set_before_the_axle_is_tight_and_tried_sat_on(self):
        _, way_back = orders("motorcycle-rear", "chain-and-sprockets")
        assert comes(
            way_back, "fasten rivet-link/rivets", "fasten chain/tension", "torque axle/nut", "task try-it"
        )
        assert "new split pin" in machine("motorcycle-rear").parts["axle"].joints["nut"].notes.way_back[0]

    @before_landing
    def test_the_caliper_hangs_by_a_hook_with_its_line_shut_and_the_pedal_is_hard_before_it_stands(self):
        way_in, way_back = orders("motorcycle-rear", "chain-and-sprockets")
        assert not any("hose-end" in name for name in way_in)
        assert comes(way_in, "remove axle", "move-aside caliper", "remove rear-wheel")
        parts = machine("motorcycle-rear").parts
        assert "never by its hose" in parts["caliper"].tie
        assert machine("motorcycle-rear").tasks["raise"].undo.label.startswith("Pedal pumped hard")
        assert comes(way_back, "fit rear-wheel", "move-back caliper", "fit axle", "restore raise")

    @before_landing
    def test_the_pivot_is_tight_and_felt_before_the_wheel_is_in(self):
        way_in, way_back = orders("motorcycle-rear", "swing-arm-bearings")
        assert comes(way_in, "remove rear-wheel", "undo pivot/nut", "remove swingarm", "restore jack-arm")
        assert comes(way_back, "task jack-arm", "fit swingarm", "torque pivot/nut", "fit rear-wheel")


class TestBicycle:
    def test_threads_that_turn_the_other_way_are_said(self):
        parts = machine("bicycle").parts
        threads = {
            name: part.joints["thread"].thread for name, part in parts.items() if "thread" in part.joints
        }
        lefts = {name for name, thread in threads.items() if thread and thread.endswith("LH")}
        assert lefts == {"pedal-left", "bottom-bracket"}

    def test_bolt_before_extractor_and_the_right_cup_seats_before_the_left_one(self):
        way_in, way_back = orders("bicycle", "bottom-bracket")
        for side in ("left", "right"):
            at = way_in.index(f"undo crank-{side}/taper")
            assert way_in[at + 1] == f"remove crank-{side}"
            assert comes(way_in, f"undo crank-{side}/bolt", f"undo crank-{side}/taper")
            assert comes(way_back, f"fasten crank-{side}/taper", f"torque crank-{side}/bolt")
        assert comes(way_in, "remove cup-left", "undo bottom-bracket/thread")
        assert comes(way_back, "torque bottom-bracket/thread", "torque cup-left/thread", "fit crank-right")
        assert machine("bicycle").parts["crank-left"].joints["bolt"].torque.again == "after the first ride"

    def test_the_chain_is_on_the_smallest_sprocket_before_the_wheel_is_out(self):
        way_in, way_back = orders("bicycle", "hub-bearings")
        assert comes(
            way_in, "task small-sprocket", "remove noodle", "undo rear-wheel/release", "remove rear-wheel"
        )
        assert comes(
            way_back, "fasten rear-wheel/release", "fasten noodle/hook", "restore feel-play", "task ride"
        )

    def test_balls_are_new_and_counted_and_play_is_felt_with_the_release_shut(self):
        way_in, way_back = orders("bicycle", "hub-bearings")
        assert comes(
            way_in, "task feel-play", "task hold-axle", "undo locknut/nut", "remove cone", "remove balls"
        )
        assert comes(way_back, "fasten cone/thread", "torque locknut/nut", "restore feel-play")
        parts = machine("bicycle").parts
        assert parts["balls"].renew[0].count == 18
        assert "once the quick release is shut" in parts["locknut"].joints["nut"].notes.way_back[0]

    def test_the_lockring_gives_way_against_a_chain_whip_and_both_brakes_are_tried(self):
        way_in, way_back = orders("bicycle", "chain-and-cassette")
        assert comes(way_in, "task hold-cassette", "undo cassette/lockring", "restore hold-cassette")
        assert comes(
            way_back, "torque cassette/lockring", "fit rear-wheel", "fasten closing-link/plates", "task ride"
        )
        assert "both brakes pulled hard" in machine("bicycle").tasks["ride"].label


class TestLongitudinalVee:
    def test_the_battery_is_off_first_and_the_rail_is_proven_before_it_is_started_and_covered(self):
        way_in, way_back = orders("longitudinal-vee", "cam-cover-gaskets")
        assert comes(way_in, "task codes", "task isolate", "remove in-plenum")
        assert comes(way_back, "restore isolate", "task prime", "task warm-run", "fit engine-cover")

    def test_each_bank_is_cleaned_before_its_cover_is_off_and_has_a_new_gasket_torqued_from_the_middle(self):
        way_in, way_back = orders("longitudinal-vee", "cam-cover-gaskets")
        for side in ("left", "right"):
            assert comes(
                way_in, f"remove coils-{side}", f"task {side}-cam-clean", f"undo {side}-cam-cover/bolts"
            )
            assert comes(
                way_back, f"torque {side}-cam-cover/bolts", f"torque plugs-{side}/threads", "fit in-plenum"
            )
            cover = machine("longitudinal-vee").parts[f"{side}-cam-cover"]
            assert cover.joints["bolts"].torque.pattern == "spiral"
            assert "Gasket" in cover.renew[0].item

    @before_landing
    def test_the_fan_gives_way_left_handed_and_all_on_the_belt_is_broken_loose_while_it_is_on(self):
        way_in, way_back = orders("longitudinal-vee", "timing-chains")
        assert comes(way_in, "crack belt-pulley/bolts", "remove belt-belt", "undo belt-pulley/bolts")
        assert comes(way_in, "undo fan/nut", "remove fan", "remove shroud", "remove belt-belt")
        assert comes(way_back, "fasten belt-belt/tension", "torque belt-pulley/bolts")
        assert machine("longitudinal-vee").parts["fan"].joints["nut"].thread.endswith("LH")

    @before_landing
    def test_both_chains_are_timed_with_the_plugs_out_and_turned_by_hand_before_the_cover_is_on(self):
        way_in, way_back = orders("longitudinal-vee", "timing-chains")
        for side, bank in (("left", "left-timing"), ("right", "timing")):
            assert comes(way_in, f"remove plugs-{side}", "task timing-time-up", f"undo {bank}-chain/tension")
            assert comes(
                way_back, f"fasten {bank}-chain/tension", "restore timing-time-up", "seal timing-cover"
            )
        bead = way_back.index("seal timing-cover")
        assert way_back[bead + 1 : bead + 4] == [
            "fit timing-cover",
            "fasten timing-cover/bolts",
            "torque timing-cover/bolts",
        ]
        assert comes(way_back, "task timing-hold", "torque timing-pulley/bolt", "restore timing-hold")

    @before_landing
    def test_the_head_is_free_of_chain_intake_and_pipe_and_the_oil_is_drained_once_more(self):
        way_in, way_back = orders("longitudinal-vee", "head-gasket-left")
        for tied in ("remove left-timing-cam-sprockets", "remove in-lower", "undo left-ex-manifold/pipe"):
            assert comes(way_in, "drain coolant", tied, "undo left-bank-head/bolts", "remove left-bank-head")
        assert comes(way_in, "drain oil", "remove left-bank-head", "drain oil again")
        assert comes(way_back, "torque left-bank-head/bolts", "fit in-lower", "torque in-lower/bolts")
        assert comes(
            way_back, "torque left-bank-head/bolts", "fit left-timing-chain", "restore timing-time-up"
        )
        assert comes(way_back, "leak-check coolant", "restore isolate", "task warm-run", "fit undertray")
