"""An order of work against the shapes, and what a scan advises, held against the same."""

from fractions import Fraction
from pathlib import Path

import pytest

from sequencer.engine.problem import Limits
from sequencer.graph import parse_targets
from sequencer.graph.geometry import scan
from sequencer.graph.geometry.added import to_write, with_need
from sequencer.graph.geometry.solids import TOLERANCE_MM
from sequencer.machine import read_text
from sequencer.machine.model import State
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.refit import plan_refit
from sequencer.plan.scan import against_the_shapes, settled
from sequencer.plan.teardown import plan_teardown
from tests.support.profile import before_landing, counts

VAN = Path(__file__).parents[3] / "models" / "delivery-van.yaml"
PUMP = """\
machine: a pump under a duct
parts:
  pump:
    box: {{at: [0, 0, 0], size: [300, 100, 50]}}
    out: +z
    {more}
    joints:
      left: {{kind: bolt, head: 13, at: [50, 50, 50], axis: +z, reach: 60, draw: 40}}
      right: {{kind: bolt, head: 13, at: [200, 50, 50], axis: +z, reach: 60, draw: 40}}
  duct:
    box: {{at: [30, {y}, {z}], size: [40, 100, 20]}}
    joints: {{clips: {{kind: clip, count: 3}}}}
    aside: {{joints: [clips], by: {by}}}
"""


def read(more="people: 1", y=0, z=80, by="[150, 0, 0]"):
    return read_text(PUMP.format(more=more, y=y, z=z, by=by), "pump.yaml").machine


def way_in(machine, off="pump"):
    return plan_teardown(
        machine, parse_targets(machine, [off]), Prefer.TIME, Limits(states=20_000, seconds=20)
    )


def hits(plan):
    return [
        (one.operation.name, one.what, one.obstacle, one.state) for one in against_the_shapes(plan).collisions
    ]


def test_a_duct_that_is_slid_from_one_bolt_onto_the_next_is_told_at_the_step_that_it_bars():
    plan = way_in(read("behind: [{duct: aside}]"))
    assert ("undo pump/right", "reach", "duct", State.ASIDE) in hits(plan)
    assert ("undo pump/left", "reach", "duct", State.ASIDE) not in hits(plan)


def test_nothing_is_advised_that_moves_it_onto_the_next_bolt():
    found = {seen.holder: seen.any_of for seen in scan(read()).hidden}
    assert {str(atom) for any_of in found.values() for atom in any_of} == {"duct"}
    beside = {seen.holder: seen.any_of for seen in scan(read(by="[0, 150, 0]")).hidden}
    assert {str(atom) for any_of in beside.values() for atom in any_of} == {"duct=aside"}


def test_as_the_file_has_it_the_way_in_runs_into_what_nobody_wrote():
    assert ("remove pump", "out", "duct", State.FITTED) in hits(way_in(read()))


def test_a_way_back_is_told_without_what_its_way_in_ran_into():
    machine = read("behind: [{duct: aside}]", by="[0, 150, 0]")
    plan = way_in(machine)
    back = plan_refit(plan, Prefer.TIME, Limits(states=20_000, seconds=20))
    found = against_the_shapes(back)
    assert (found.collisions, found.moves) == ((), len(back.operations))
    bare = plan_refit(way_in(read()), Prefer.TIME, Limits(states=20_000, seconds=20))
    assert {one.operation.name for one in against_the_shapes(bare).collisions} == {
        "fit pump",
        "fasten pump/left",
    }


@pytest.mark.parametrize("shallow", ["0.000001", "1", "6"])
def test_an_overlap_by_a_measuring_error_is_contact_and_bars(shallow):
    machine = read(z=Fraction(50) - Fraction(shallow) if shallow != "0.000001" else "49.999999")
    found = scan(machine)
    assert [seen.holder for seen in found.hidden if seen.joint is None] == ["pump"]
    assert found.inside == ()


def test_a_deep_overlap_is_told_as_too_rough():
    found = scan(read(z=35))
    assert found.inside == (("pump", "duct"),)


def test_an_overlap_beside_the_way_is_contact_that_slides():
    assert [seen.holder for seen in scan(read(y=98, z=0)).hidden if seen.joint is None] == []


@before_landing
def test_the_vans_head_comes_out_and_goes_back_against_its_shapes():
    machine = read_text(VAN.read_text(encoding="utf-8"), str(VAN)).machine
    plan = way_in(machine, "head")
    found = against_the_shapes(plan)
    assert found.collisions == ()
    assert found.judged > found.moves / 2


def random_pump(number):
    """Boxes over a pump, some of which slide aside: invented, by number."""
    import random

    rng = random.Random(number)
    parts = []
    for name in "abc":
        x, y, z = rng.randrange(0, 260, 20), rng.randrange(0, 60, 20), rng.randrange(60, 120, 20)
        by = [rng.choice([-140, -80, 0, 80, 140]), rng.choice([-100, 0, 100]), 0]
        aside = f"aside: {{joints: [clips], by: {by}}}" if any(by) and rng.random() < 0.8 else "people: 1"
        parts.append(
            f"  {name}:\n    box: {{at: [{x}, {y}, {z}], size: [40, 40, 15]}}\n"
            f"    joints: {{clips: {{kind: clip}}}}\n    {aside}\n"
        )
    return read_text(
        PUMP.format(more="people: 1", y=300, z=80, by="[0, 50, 0]") + "".join(parts), "r.yaml"
    ).machine


@before_landing
def test_what_a_scan_advises_replays_without_running_into_anything():
    """With every finding written, the job runs into nothing: on machines by chance."""
    tried = 0
    for number in range(counts(quick=20, landing=30, nightly=500)):
        machine = random_pump(number)
        targets = parse_targets(machine, ["pump"])
        found, _ = settled(machine, targets, TOLERANCE_MM, Limits(states=20_000, seconds=20))
        wanted, _ = to_write(found)
        for seen in wanted:
            machine = with_need(machine, seen)
        assert hits(way_in(machine)) == [], number
        tried += bool(wanted)
    assert tried > counts(quick=10, landing=20, nightly=20)
