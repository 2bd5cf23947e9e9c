"""Before a heavy part is lifted, all that tied it is named once more."""

from dataclasses import replace

from sequencer.document.steps.cards import teardown_cards
from tests.plan.jobs import teardown
from tests.support.profile import before_landing
from tests.views.paper_jobs import van

TIED = """
machine: Ties
positions: {bench: {label: At the bench}}
parts:
  strap: {label: Earth strap, joints: {here: {kind: clip, time: 4}, there: {kind: clip, time: 5}}}
  hose: {label: Top hose, joints: {a: {kind: clip, time: 5}}}
  block: {label: Block, weight: WEIGHT kg, trapped_by: [TIES], joints: {a: {kind: clip, time: 5}}}
"""


def look(weight, ties="hose, {any: [strap/here, strap/there]}", of=lambda plan: plan):
    plan = of(teardown(TIED.replace("WEIGHT", str(weight)).replace("TIES", ties), [("off", "block")]))
    return [step.look for card in teardown_cards(plan) for step in card.steps if step.look]


def test_what_tied_a_heavy_part_is_named_at_the_lift():
    assert look(15) == ["last look: it is free of Top hose, Earth strap: here, and nothing else ties it"]


def test_a_light_part_and_one_that_nothing_tied_need_none():
    assert not look(14)
    assert not look(31, ties="")


def test_what_was_left_out_is_not_named_as_off():
    def without(plan):
        rest = tuple(step for step in plan.steps if step.operation.subject != "hose")
        return replace(plan, steps=rest, earlier=("remove hose",), skipped=("remove hose",))

    assert look(31, of=without) == ["last look: it is free of Earth strap: here, and nothing else ties it"]


@before_landing
def test_the_vans_head_is_free_of_earth_stay_hoses_and_lambda_plug():
    steps = (step for card in teardown_cards(van().into) for step in card.steps)
    head = next(step for step in steps if step.operation == "remove head")
    for tie in ("Earth strap", "Stay behind the head", "Heater hoses", "Top hose", "Down-pipe"):
        assert tie in head.look
