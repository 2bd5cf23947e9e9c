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
