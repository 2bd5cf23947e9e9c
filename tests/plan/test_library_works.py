"""The library's machines of workshop and plant, as a mechanic checks them first (common practice).

Each fact is asked of the orders of work both ways; that they are proven is asked in ``test_library.py``.
"""

from tests.plan.library_machines import both_ways, comes, machine, orders
from tests.support.profile import before_landing


class TestElectricMotor:
    def test_it_is_locked_off_and_the_pump_cannot_turn_it_back(self):
        way_in, way_back = orders("electric-motor", "coupling-star")
        assert way_in[:2] == ["task isolate", "task shut-valves"]
        assert comes(
            way_back, "fasten coupling-guard/screws", "restore shut-valves", "restore isolate", "task trial"
        )

    def test_the_star_comes_out_with_the_leads_on_and_the_motor_drawn_back_on_the_hook(self):
        way_in, _ = orders("electric-motor", "coupling-star")
        assert comes(way_in, "task sling", "undo motor/feet", "move-aside motor", "remove star")
        assert not any("cable" in name for name in way_in)
        assert "Shims" in machine("electric-motor").parts["motor"].notes.way_in[0]

    def test_it_is_aligned_off_the_hook_before_the_feet_are_tight_and_the_guard_is_on(self):
        _, way_back = orders("electric-motor", "coupling-star")
        assert comes(way_back, "restore sling", "task align", "torque motor/feet", "fit coupling-guard")

    @before_landing
    def test_it_is_proved_dead_before_a_lead_is_touched_and_measured_before_the_leads_are_on(self):
        way_in, way_back = orders("electric-motor", "bearings")
        assert comes(way_in, "remove terminal-lid", "task prove-dead", "undo cable/phases", "undo motor/feet")
        assert comes(
            way_back, "task insulation", "fasten cable/phases", "task prove-earth", "fit terminal-lid"
        )

    @before_landing
    def test_bearings_come_off_the_shaft_at_the_bench_and_go_on_by_their_inner_races(self):
        way_in, way_back = orders("electric-motor", "bearings")
        for end in ("de", "nde"):
            assert comes(way_in, "remove rotor", f"undo {end}-ring/ring", f"undo {end}-bearing/fit")
            assert comes(
                way_back, f"fasten {end}-bearing/fit", f"fit {end}-ring", "fit rotor", f"fit {end}-cover"
            )
            assert "inner ring" in machine("electric-motor").parts[f"{end}-bearing"].notes.way_back[0]
        assert comes(way_back, "fit wave-washer", "fit de-cover")

    @before_landing
    def test_the_coupling_half_is_pulled_and_goes_on_warm_never_by_blows(self):
        way_in, way_back = orders("electric-motor", "bearings")
        assert comes(
            way_in,
            "remove motor",
            "undo coupling-half/grub",
            "undo coupling-half/fit",
            "undo de-cover/screws",
        )
        assert comes(
            way_back, "fasten shaft-key/seat", "fit coupling-half", "torque coupling-half/grub", "fit motor"
        )
        assert "never hammered" in machine("electric-motor").parts["coupling-half"].notes.way_back[0]


class TestAgitatorGearbox:
    def test_it_is_locked_off_and_the_plant_makes_the_tank_safe_before_a_bolt_is_touched(self):
        way_in, way_back = orders("agitator-gearbox", "shaft-seal")
        assert way_in[:2] == ["task isolate", "task make-safe"]
        assert comes(way_back, "fasten guard/screws", "restore make-safe", "restore isolate", "task trial")

    def test_the_shaft_stands_on_its_plates_before_the_coupling_is_open_and_until_it_is_tight(self):
        way_in, way_back = orders("agitator-gearbox", "shaft-seal")
        assert comes(
            way_in,
            "task hang-shaft",
            "undo agitator-shaft/coupling",
            "move-aside agitator-shaft",
            "undo spacer/upper",
        )
        assert comes(way_back, "torque spacer/upper", "torque agitator-shaft/coupling", "restore hang-shaft")
        assert "restore hang-shaft" not in way_in

    def test_the_seal_is_set_before_the_shaft_moves_and_runs_free_once_its_drive_ring_is_tight(self):
        for job in ("shaft-seal", "output-seal"):
            way_in, way_back = orders("agitator-gearbox", job)
            assert comes(way_in, "task set-clips", "undo cartridge/drive", "move-aside agitator-shaft")
            assert comes(
                way_back, "restore hang-shaft", "torque cartridge/drive", "restore set-clips", "task plumb"
            )

    def test_the_barrier_fluid_is_in_and_vented_before_the_seal_turns(self):
        way_in, way_back = orders("agitator-gearbox", "shaft-seal")
        assert comes(way_in, "drain barrier", "undo cartridge/lines", "remove cartridge")
        assert comes(way_back, "fill barrier", "task look", "fit guard", "task trial")

    @before_landing
    def test_motor_and_gearbox_are_lifted_each_by_itself_and_nobody_is_below(self):
        removal, _ = both_ways("agitator-gearbox", "gearbox")
        way_in, way_back = orders("agitator-gearbox", "gearbox")
        assert comes(
            way_in,
            "task prove-dead",
            "undo cable/phases",
            "task sling-motor",
            "undo motor/flange",
            "remove motor",
        )
        assert comes(way_in, "remove motor", "task sling-gearbox", "undo gearbox/flange", "remove gearbox")
        hangs = way_in[way_in.index("task sling-gearbox") : way_in.index("restore sling-gearbox")]
        assert not {one.position for one in removal.operations if one.name in hangs} & {"lantern"}
        assert comes(way_back, "fasten gearbox/dowels", "torque gearbox/flange", "fit motor", "fit spacer")


class TestLatheHeadstock:
    def test_the_belts_are_slack_before_they_are_lifted_off_and_are_one_set(self):
        way_in, way_back = orders("lathe-headstock", "belts")
        assert comes(way_in, "task isolate", "remove end-cover", "undo belts/tension", "undo belts/grooves")
        assert comes(
            way_back, "fasten belts/tension", "task set-belts", "fasten end-cover/knobs", "restore isolate"
        )
        assert "one set" in machine("lathe-headstock").parts["belts"].prepare[0]

    def test_the_chuck_rests_on_a_cradle_before_a_cam_is_turned(self):
        way_in, way_back = orders("lathe-headstock", "front-seal")
        assert comes(
            way_in, "task isolate", "task bed-cradle", "undo chuck/cams", "remove chuck", "drain oil"
        )
        assert comes(way_back, "fill oil", "task look", "task bed-cradle", "fit chuck", "fasten chuck/cams")
        assert not both_ways("lathe-headstock", "front-seal")[1].practice.dropped

    @before_landing
    def test_it_is_measured_before_the_preload_is_let_go_and_again_before_the_cover_is_on(self):
        way_in, way_back = orders("lathe-headstock", "spindle-bearings")
        assert comes(way_in, "remove chuck", "task measure", "undo preload-nut/tab", "undo preload-nut/nut")
        assert comes(
            way_back, "fasten preload-nut/nut", "fasten preload-nut/tab", "restore measure", "fit rear-cover"
        )
        assert comes(way_back, "restore isolate", "task trial", "task run-in")

    @before_landing
    def test_a_bar_over_the_nose_holds_for_the_ring_nut_and_not_the_belts(self):
        way_in, way_back = orders("lathe-headstock", "spindle-bearings")
        nut = ("task hold-spindle", "undo preload-nut/nut", "restore hold-spindle")
        assert comes(way_in, "remove belts", *nut, "undo spindle/seats")
        assert comes(
            way_back, "task hold-spindle", "fasten preload-nut/nut", "restore hold-spindle", "fit belts"
        )

    @before_landing
    def test_the_spindle_is_drawn_out_in_a_sling_and_its_bearings_go_on_warm(self):
        way_in, way_back = orders("lathe-headstock", "spindle-bearings")
        assert comes(way_in, "remove gear-ring", "task sling-spindle", "undo spindle/seats", "remove spindle")
        assert comes(
            way_back, "task sling-spindle", "fit spindle", "fasten spindle/seats", "restore sling-spindle"
        )
        assert comes(
            way_back, "fasten front-cone/seat", "fasten rear-race/seat", "fit rear-cone", "fit spindle"
        )
        parts = machine("lathe-headstock").parts
        assert "no blow" in parts["spindle"].cautions.way_in[0]
        assert parts["front-cone"].joints["seat"].together.tool == "heater"
