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


class TestOutboardLeg:
    def test_the_propeller_can_not_turn_before_a_hand_is_at_it_and_wood_holds_it_for_the_nut(self):
        way_in, way_back = orders("outboard-leg", "propeller")
        assert way_in[0] == "task dead"
        assert comes(
            way_in, "task block-blade", "undo propeller/nut", "restore block-blade", "remove propeller"
        )
        assert comes(
            way_back, "task block-blade", "torque propeller/nut", "fasten propeller/pin", "restore dead"
        )
        assert "lanyard out" in machine("outboard-leg").tasks["dead"].label

    def test_the_case_is_borne_before_its_bolts_are_out_and_the_tab_is_scribed(self):
        way_in, way_back = orders("outboard-leg", "water-pump-impeller")
        assert comes(
            way_in, "remove trim-tab", "undo gear-case/tab-bolt", "undo gear-case/bolts", "remove gear-case"
        )
        assert comes(way_in, "task cradle", "undo gear-case/tab-bolt")
        assert comes(way_back, "task cradle", "fit gear-case", "torque gear-case/bolts", "restore cradle")
        assert "Scribe" in machine("outboard-leg").parts["trim-tab"].notes.way_in[0]

    def test_the_new_impeller_lies_the_right_way_and_never_runs_dry(self):
        _, way_back = orders("outboard-leg", "water-pump-impeller")
        assert comes(
            way_back, "fasten impeller/fit", "torque pump-housing/bolts", "fit gear-case", "task run-up"
        )
        model = machine("outboard-leg")
        assert "turned clockwise" in model.parts["pump-housing"].notes.way_back[0]
        assert any("dry" in text for text in model.tasks["run-up"].cautions.way_back)
        assert not any("gear-oil" in name for name in way_back)

    @before_landing
    def test_seals_are_tried_by_pressure_before_the_oil_goes_in_from_below(self):
        way_in, way_back = orders("outboard-leg", "propeller-shaft-seals")
        assert comes(way_in, "remove oil-screws", "drain gear-oil", "undo carrier/bolts", "undo carrier/fit")
        assert comes(
            way_back,
            "torque carrier/bolts",
            "restore mark-carrier",
            "fill gear-oil",
            "torque oil-screws/screws",
        )
        assert "From the lower hole up" in machine("outboard-leg").fluids["gear-oil"].notes.way_back[0]

    def test_the_splines_find_each_other_and_the_bolts_draw_nothing_up(self):
        case = machine("outboard-leg").parts["gear-case"]
        assert "not drawn up by its bolts" in case.notes.way_back[0]
        assert "none on the top" in case.prepare[0]
        assert "In neutral" in machine("outboard-leg").parts["shift-coupling"].notes.way_in[0]
