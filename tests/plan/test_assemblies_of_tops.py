"""The library's assemblies of an engine's upper end, as a mechanic checks them first (common practice)."""

from sequencer.machine import read_text
from tests.plan.assembly_engine import TOP
from tests.plan.assembly_machines import both_ways, comes
from tests.plan.jobs import machine_of, names
from tests.support.profile import before_landing

PARTS = machine_of(TOP).parts
TASKS = machine_of(TOP).tasks


class TestTimingChain:
    @before_landing
    def test_crank_and_cams_are_pinned_before_the_chain_is_slack_and_turned_twice_before_it_is_covered(self):
        removal, refit = both_ways(TOP, "k-chain")
        assert comes(
            names(removal), "remove k-cover", "task k-time-up", "undo k-chain/tension", "remove k-chain"
        )
        assert comes(
            names(refit), "fit k-chain", "fasten k-chain/tension", "restore k-time-up", "seal k-cover"
        )
        assert "two full turns by hand" in TASKS["k-time-up"].undo.label

    @before_landing
    def test_the_plunger_is_pinned_before_the_tensioner_is_touched_and_let_go_once_it_is_torqued(self):
        removal, refit = both_ways(TOP, "k-chain")
        assert comes(names(removal), "undo k-chain/tension", "undo k-tensioner/bolts", "remove k-slack-guide")
        assert comes(names(refit), "torque k-tensioner/bolts", "fasten k-chain/tension")

    def test_a_bar_holds_the_pulley_for_its_bolt_both_ways_and_the_bolt_is_new(self):
        removal, refit = both_ways(TOP, "k-seal")
        assert comes(
            names(removal), "task k-hold", "undo k-pulley/bolt", "restore k-hold", "undo k-pulley/seat"
        )
        assert comes(
            names(refit), "fasten k-pulley/seat", "task k-hold", "torque k-pulley/bolt", "restore k-hold"
        )
        assert PARTS["k-pulley"].renew[0].item == "Crank bolt"

    @before_landing
    def test_the_bead_is_drawn_down_without_a_break_and_oil_waits_for_it(self):
        _, refit = both_ways(TOP, "k-cover")
        order = names(refit)
        bead = order.index("seal k-cover")
        assert order[bead : bead + 6] == [
            "seal k-cover",
            "fit k-cover",
            "fasten k-cover/bolts",
            "torque k-cover/bolts",
            "fasten k-cover/lower",
            "torque k-cover/lower",
        ]
        assert PARTS["k-cover"].sealing.against == ("oil",)
        assert comes(
            order, "torque k-cover/bolts", "fit c-cover"
        )  # its gasket lies across the joint of the two

    def test_nothing_falls_in_the_sump_and_the_seal_and_worn_guides_are_new(self):
        cover = PARTS["k-cover"]
        assert any("sump" in text and "Cloths" in text for text in cover.notes.way_in)
        assert any("counted" in text for text in cover.prepare)
        assert "seal" in cover.renew[0].item
        assert "Grooves" in PARTS["k-slack-guide"].prepare[0]

    def test_a_second_chain_goes_behind_the_cover_of_the_first_and_is_timed_with_it(self):
        machine = machine_of(TWO_CHAINS)
        assert [one for one in machine.tasks if "time-up" in one] == ["k-time-up"]
        removal, refit = both_ways(TWO_CHAINS, "l-chain")
        assert comes(names(removal), "remove k-cover", "task k-time-up", "undo l-chain/tension")
        assert not any("k-chain" in name for name in names(removal))
        assert comes(names(refit), "fasten l-chain/tension", "restore k-time-up", "fit k-cover")


TWO_CHAINS = """\
machine: Engine with two chains, invented
include:
  - {assembly: timing-chain, version: 1, as: k, at: {front: front, under: under}, with: {oil: oil}}
  - {assembly: timing-chain, version: 1, as: l, where: left bank, at: {front: front, under: under},
     with: {oil: oil, way: [k-cover]}, without: [pulley, seal, cover, crank-sprocket, hold, time-up]}
positions: {front: {label: At the front}, under: {label: Lying underneath, needs: [raise], below: true}}
fluids: {oil: {label: Engine oil, drain: {from: under, plug: {torque: 30 N.m}}, note: {back: To the mark.}}}
tasks:
  raise: {label: Raise it onto stands, rated: true, undo: {label: Let it down}}
  k-time-up: {before: [k-chain, l-chain]}
parts: {lid: {label: Lid, joints: {clips: {kind: clip}}}}
"""


class TestCylinderHead:
    @before_landing
    def test_coolant_and_oil_are_out_and_the_oil_once_more_for_what_ran_into_it(self):
        removal, refit = both_ways(TOP, "h-head")
        assert comes(names(removal), "drain coolant", "drain oil", "undo h-head/bolts")
        assert comes(names(removal), "remove h-head", "drain oil again")
        assert comes(names(refit), "close oil", "fill oil", "task run")

    @before_landing
    def test_small_bolts_come_first_and_nothing_ties_it_when_it_is_loosened_or_before_it_is_tight(self):
        removal, refit = both_ways(TOP, "h-head")
        last = "undo h-head/bolts"
        for before in (
            "undo h-head/small",
            "remove k-cam-sprockets",
            "remove in-lower",
            "undo e-manifold/pipe",
        ):
            assert comes(names(removal), before, last)
        tied = [name for name in names(refit) if name != "fasten h-head/plug"]  # that ties nothing
        assert tied[1:3] == ["fasten h-head/bolts", "torque h-head/bolts"]

    def test_new_bolts_in_stages_by_angle_from_the_middle_out_and_loosened_from_the_ends(self):
        bolts = PARTS["h-head"].joints["bolts"]
        assert bolts.torque.pattern == "spiral"
        assert [stage.text for stage in bolts.torque.stages][2:] == ["90 deg", "90 deg"]
        assert {one.item: one.count for one in PARTS["h-head"].renew}["Cylinder-head bolt"] == bolts.count
        assert "From the ends inwards" in bolts.cautions.way_in[0]

    def test_faces_are_flat_holes_are_dry_and_the_gasket_is_the_right_side_up(self):
        said = " ".join(PARTS["h-head"].prepare)
        for word in ("flat along a rule", "sucked dry", "right side up", "crack", "Dowels in"):
            assert word in said
        assert any(
            "holes" in text and "block cracks" in text
            for text in PARTS["h-head"].joints["bolts"].cautions.way_back
        )

    @before_landing
    def test_it_takes_two_to_lift_it_with_what_rides_on_it_and_lies_on_blocks(self):
        removal, _ = both_ways(TOP, "h-head")
        assert "undo e-manifold/nuts" not in names(removal)
        said = PARTS["h-head"].joints["bolts"].cautions.way_in
        assert any("two people or a hoist" in text for text in said)
        assert any("never on its face" in text for text in said)


class TestIntake:
    def test_hoses_are_marked_and_dirt_is_off_before_it_is_open(self):
        removal, _ = both_ways(TOP, "in-plenum")
        assert comes(names(removal), "task in-clean", "undo in-plenum/bolts", "remove in-plenum")
        assert "marked" in PARTS["in-plenum"].joints["hoses"].notes.way_in[0]

    def test_ports_are_stopped_and_the_cloths_are_counted_out(self):
        assert "counted" in PARTS["in-plenum"].notes.way_in[0]
        for name in ("in-plenum", "in-lower"):
            assert any("out of the ports, counted" in text for text in PARTS[name].prepare)

    def test_fuel_is_parted_without_pressure_before_the_lower_manifold_moves(self):
        removal, refit = both_ways(TOP, "in-lower")
        assert comes(
            names(removal), "task relieve", "undo r-feed/coupling", "remove r-rail", "undo in-lower/bolts"
        )
        assert comes(names(refit), "torque in-lower/bolts", "fit r-rail", "fit in-plenum")

    def test_it_draws_down_from_the_middle_on_new_gaskets_and_the_stay_comes_last(self):
        _, refit = both_ways(TOP, "in-plenum")
        assert comes(names(refit), "torque in-plenum/bolts", "torque in-plenum/stay")
        assert PARTS["in-lower"].joints["bolts"].torque.pattern == "spiral"
        assert PARTS["in-lower"].renew[0].count == 2
        assert PARTS["in-plenum"].renew

    def test_the_throttle_shuts_by_itself_and_no_air_gets_in_unmeasured(self):
        assert "Ignition off" in PARTS["in-throttle"].cautions.way_in[0]
        assert "not measured" in PARTS["in-duct"].notes.way_back[0]


class TestFuelRail:
    def test_the_battery_is_off_and_the_pressure_out_before_the_line_is_parted(self):
        removal, _ = both_ways(TOP, "r-feed")
        assert comes(names(removal), "task isolate", "task relieve", "undo r-feed/coupling")
        assert "No flame or spark, extinguisher at hand" in PARTS["r-feed"].cautions.way_in[0]

    def test_both_ends_are_stopped_at_once_and_the_coupling_clicks(self):
        notes = PARTS["r-feed"].notes
        assert "stopper in both ends at once" in notes.way_in[0]
        assert "clicks, then pulled at" in notes.way_back[0]

    def test_seats_are_blown_clean_and_it_is_drawn_straight_without_a_lever(self):
        note = PARTS["r-rail"].notes.way_in[0]
        assert "Seats blown clean before" in note
        assert "no lever on an injector" in note

    def test_all_rings_are_new_and_oiled_one_above_and_one_below_each(self):
        assert PARTS["r-rail"].renew[0].count == PARTS["r-injectors"].renew[0].count == 4
        assert "clean engine oil" in PARTS["r-rail"].prepare[0]

    def test_it_is_looked_at_under_pressure_before_it_is_started_or_covered(self):
        _, refit = both_ways(TOP, "r-injectors")
        assert comes(
            names(refit), "torque r-rail/bolts", "fasten r-feed/coupling", "restore isolate", "task prime"
        )
        assert comes(names(refit), "task prime", "task run", "fit cover")
        assert "looked at once the rail is full" in PARTS["r-feed"].notes.way_back[0]


def test_three_of_them_are_there_for_each_bank():
    reading = read_text(BOTH_BANKS, "banks.yaml")
    assert [str(fault) for fault in reading.faults] == []
    assert [need.any_of[0].part for need in reading.machine.parts["in-lower"].to_reach] == [
        "in-plenum",
        "left-rail-rail",
        "right-rail-rail",
    ]
    left, right = ({name for name in reading.machine.parts if side in name} for side in ("left", "right"))
    assert {name.replace("left", "right") for name in left} == right


BOTH_BANKS = """\
machine: Engine with two banks, invented
repeat: {side: [left, right]}
include:
  - {assembly: cam-cover, version: 1, as: <side>-cover, where: <side> bank, at: top, with: {way: [in-plenum]}}
  - {assembly: cylinder-head, version: 1, as: <side>, where: <side> bank, at: top,
     with: {coolant: coolant, oil: oil, way: [<side>-cover-cover], tied: [in-lower]}}
  - {assembly: fuel-rail, version: 1, as: <side>-rail, where: <side> bank, at: top,
     with: {isolated: isolate, relieved: relieve, way: [in-plenum]}}
  - {assembly: intake, version: 1, as: in, at: top, with: {rail: [<side>-rail-rail]}}
positions: {top: {label: Over the engine}}
fluids: {coolant: {label: Coolant}, oil: {label: Engine oil}}
tasks:
  isolate: {label: Battery negative off first, undo: {label: Battery negative on last}}
  relieve: {label: Rail bled at its test valve into a jar, after: [isolate]}
parts: {in-lower: {note: Both banks hang on it.}}
"""
