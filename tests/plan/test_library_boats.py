"""The library's machines of boats, as a mechanic of that trade checks them first (common practice).

Each fact is asked of the orders of work both ways; that they are proven is asked in ``test_library.py``.
"""

import pytest

from tests.plan.library_machines import comes, machine, orders
from tests.support.profile import before_landing


class TestDieselInboard:
    @pytest.mark.parametrize(
        ("job", "first", "last"),
        [
            ("impeller", "undo pump-cover/screws", "torque pump-cover/screws"),
            pytest.param(
                "raw-water-pump",
                "undo inlet-hose/pump-end",
                "fasten outlet-hose/pump-end",
                marks=before_landing,
            ),
            pytest.param(
                "heat-exchanger",
                "undo outlet-hose/exchanger-end",
                "fasten elbow-hose/cap-end",
                marks=before_landing,
            ),
        ],
    )
    def test_the_sea_cock_is_shut_before_a_hose_is_opened_and_open_when_all_is_tight(self, job, first, last):
        way_in, way_back = orders("diesel-inboard", job)
        assert comes(way_in, "task engine-off", "task sea-cock", first)
        assert comes(way_back, last, "restore sea-cock", "restore engine-off", "task first-run")

    def test_water_at_the_exhaust_is_seen_at_once_and_before_the_box_hides_a_weep(self):
        _, way_back = orders("diesel-inboard", "impeller")
        assert comes(way_back, "task first-run", "fit engine-box", "fit steps")
        run = machine("diesel-inboard").tasks["first-run"]
        assert "water at the exhaust within half a minute" in run.label
        assert any("exhaust gas kills" in text for text in run.cautions.way_back)

    def test_vanes_are_counted_the_new_one_is_soaped_and_bent_the_way_it_runs(self):
        impeller = machine("diesel-inboard").parts["impeller"]
        assert "Count its vanes" in impeller.notes.way_in[0]
        assert "no grease of mineral oil" in impeller.prepare[1]
        assert "against the way it runs" in impeller.notes.way_back[0]

    @before_landing
    def test_the_pump_is_opened_while_the_engine_holds_it_and_torqued_before_its_hoses(self):
        way_in, way_back = orders("diesel-inboard", "raw-water-pump")
        assert comes(
            way_in, "remove impeller", "undo pump/bolts", "remove pump-circlip", "undo pump-shaft/fit"
        )
        assert comes(way_back, "torque pump/bolts", "fit impeller", "torque pump-cover/screws")
        assert (
            "one to the water, one to the oil"
            in machine("diesel-inboard").parts["pump-seals"].notes.way_back[0]
        )

    @before_landing
    def test_the_coolant_is_out_cold_before_a_cap_is_off_and_looked_at_before_the_engine_runs(self):
        way_in, way_back = orders("diesel-inboard", "heat-exchanger")
        assert comes(
            way_in, "remove filler-cap", "drain coolant", "undo cap-front/bolts", "remove tube-stack"
        )
        assert comes(
            way_back, "torque cap-rear/bolts", "fill coolant", "leak-check coolant", "task first-run"
        )
        assert "cold engine" in machine("diesel-inboard").parts["filler-cap"].cautions.way_in[0]
