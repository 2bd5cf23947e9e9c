"""A fluid that comes against a bead is not filled before it has cured, and the wait is said."""

from fractions import Fraction

import pytest

from sequencer.machine import read_text
from sequencer.plan.practice.rules import Practice, RuleName
from sequencer.render.data.plans.plan import refit_json
from tests.plan.jobs import there_and_back

# Who begins in front fills there first and then goes round to the cover: that is the quick order.
BOX = """
machine: Box (invented)
positions:
  front: {label: In front}
  back: {label: Behind, enter: 2 min, leave: 2 min}
fluids:
  oil: {label: Gear oil, volume: 1 L, drain: {from: front, time: 1 min}, fill: {from: front, time: 1 min}}
parts:
  pipe: {wet: [oil], joints: {union: {kind: union, head: 17, from: front, time: 1 min}}}
  cover:
    sealant: {kind: rtv, assemble_within: 20 min, cure: 1 h, wet: [oil]}
    joints: {bolts: {kind: bolt, head: 10, from: back, time: 1 min}}
"""
BOTH = [("off", "pipe"), ("off", "cover")]


def way_back(text=BOX, practice=Practice.ALL):
    return there_and_back(text, BOTH, practice=practice)[1]


def names(plan):
    return [step.operation.name for step in plan.steps]


def test_it_is_filled_after_the_bead_and_the_rest_of_the_cure_is_said():
    plan = way_back()
    order = names(plan)
    assert order.index("fasten cover/bolts") < order.index("fill oil")
    plain = names(way_back(practice=Practice.NONE))
    assert plain.index("fill oil") < plain.index("fasten cover/bolts")
    (hold,) = plan.holds
    assert order[hold.before_step - 1] == "fill oil"
    data = refit_json(plan)
    between = sum(s.seconds + s.change_seconds for s in plan.steps[hold.after_step : hold.before_step - 1])
    between += plan.steps[hold.before_step - 1].change_seconds
    assert data["holds"][0]["waiting_seconds"] == data["waiting_seconds"] == 3600 - between > 0
    assert data["totals"]["seconds"] == sum(step.seconds + step.change_seconds for step in plan.steps)


def test_work_that_lasts_longer_than_the_cure_leaves_nothing_to_wait_for():
    assert refit_json(way_back(BOX.replace("cure: 1 h", "cure: 1 s")))["waiting_seconds"] == 0


def test_the_rule_is_of_the_way_back_alone_and_named_where_it_is_kept():
    into, back = there_and_back(BOX, BOTH, practice=Practice.ALL)
    assert [rule.at for rule in back.practice.kept if rule.name is RuleName.SEALED][-1] == "fill oil"
    assert not any(rule.name is RuleName.SEALED for rule in into.practice.kept)


def test_a_fluid_that_is_none_is_refused_at_its_line():
    faults = read_text(BOX.replace("cure: 1 h, wet: [oil]", "cure: 1 h, wet: [oyl]"), "box.yaml").faults
    (fault,) = faults
    assert "box.yaml:11:" in str(fault)
    assert "oyl" in str(fault)
    assert "did you mean `oil`" in str(fault)


@pytest.mark.parametrize("practice", list(Practice))
def test_a_sealant_without_it_waits_for_the_run_alone(practice):
    plan = way_back(BOX.replace(", wet: [oil]}\n    joints", "}\n    joints"), practice)
    (hold,) = plan.holds
    assert hold.before_step is None
    assert Fraction(refit_json(plan)["waiting_seconds"]) > 0


def test_filling_is_put_off_until_the_bead_has_cured_where_that_costs_nothing():
    """A lid of two hours over the cover, where the filling is: it may as well come first."""
    lid = "  lid: {joints: {clips: {kind: clip, time: 2 h}}}\n"
    plan = way_back(BOX.replace("  cover:\n", "  cover:\n    behind: [lid]\n") + lid)
    order = names(plan)
    assert order.index("fill oil") > order.index("fasten lid/clips")
    assert refit_json(plan)["waiting_seconds"] == 0
    (hold,) = plan.holds
    assert [order[step - 1] for step in (hold.seal_step, hold.after_step, hold.before_step)] == [
        "seal cover",
        "fasten cover/bolts",
        "fill oil",
    ]
    assert plan.proven
    assert plan.totals.seconds == 7894  # as much as with the filling first
