"""What is not known of a plan is said: what of its order is kept, what nobody said, what is from memory."""

from datetime import date

from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.plans.plan import worth
from sequencer.document.steps.cards import refit_cards, teardown_cards
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import there_and_back

PRESS = """\
machine: Press
parts:
  guard: {joints: {screws: {kind: screw, head: PH2, unsure: [head, count]}}}
  cooler: {joints: {nuts: {kind: nut, head: 10}}}
  shroud: {behind: [guard], joints: {clips: {kind: clip}}}
  pump: {weight: 2 kg, unsure: [weight], joints: {bolts: {kind: bolt, head: 13}}}
"""
TOLD = """\
taken_apart:
  order: [guard, cooler, shroud, pump]
  free: [{first: [cooler], then: [pump]}]
  guessed: [cooler]
"""


def ways(text):
    return there_and_back(text, [("off", "pump")], practice=Practice.ALL)


def lines(cards):
    return {step.operation: step.lines for station in cards for step in station.steps}


def test_a_plan_says_how_much_of_its_order_is_known():
    for plan in ways(PRESS + TOLD):
        assert worth(plan).endswith(
            " 2 of 6 orders between parts are known; the rest is kept as it came off."
        )
    way_in, way_back = ways(PRESS + TOLD)
    assert PaperJob(way_in, way_back, date(2026, 11, 29)).worth(way_back) == worth(way_back)
    assert teardown_json(way_in)["order_known"] == {"known": 2, "pairs": 6}
    assert refit_json(way_back)["order_known"] == {"known": 2, "pairs": 6}


def test_a_plan_of_which_all_is_known_says_nothing_of_it():
    free = (
        PRESS
        + "taken_apart: {order: [guard, shroud, pump], free: [{first: [pump], then: [guard, shroud]}]}\n"
    )
    for text in (PRESS, free):
        way_in, _ = ways(text)
        assert "known" not in worth(way_in)
        assert teardown_json(way_in)["order_known"] is None


def test_each_step_is_marked_whose_thing_was_not_told_in_full_or_from_memory():
    way_in, way_back = ways(PRESS + TOLD)
    said = lines(teardown_cards(way_in))
    assert said["undo guard/screws"] == ("head, count not said",)
    assert said["undo cooler/nuts"] == ("its place in the order is from memory",)
    assert said["remove cooler"] == said["undo shroud/clips"] == ()
    assert said["remove pump"] == ("weight not said",)
    back = lines(refit_cards(way_back))
    assert back["fit cooler"] == ("its place in the order is from memory",)
    assert back["fasten guard/screws"] == ("head, count not said",)
    told = {step["op"]: (step["unsure"], step["guessed"]) for step in refit_json(way_back)["steps"]}
    assert told["fit pump"] == (["weight"], False)
    assert told["fasten cooler/nuts"] == ([], True)


def test_what_is_only_kept_is_not_said_to_be_in_the_way():
    way_in, _ = ways(PRESS + TOLD)
    purposes = {step.operation: step.purpose for station in teardown_cards(way_in) for step in station.steps}
    assert purposes["remove guard"] == "to reach shroud: clips"
    assert purposes["remove shroud"] == ""


def test_what_is_from_a_type_and_not_confirmed_is_marked_once_on_the_way_in():
    marked = "from the type, not confirmed"
    behind = PRESS.replace("pump: {", "pump: {behind: [shroud, cooler], ")
    text = f"{behind}from_type: {{machine: press, unsure: [guard, guard/screws, shroud/clips, cooler]}}\n"
    way_in, way_back = ways(text)
    said = lines(teardown_cards(way_in))
    assert said["undo guard/screws"] == ("head, count not said", marked)
    assert said["undo shroud/clips"] == (marked,)
    assert said["undo cooler/nuts"] == (marked,), "the first step at the cooler"
    assert said["remove guard"] == said["remove cooler"] == said["undo pump/bolts"] == ()
    assert worth(way_in).endswith(
        "4 of the 8 parts and joints that it touches are as in the type press, and nobody has confirmed them."
    ), worth(way_in)
    assert not any(marked in words for words in lines(refit_cards(way_back)).values()), (
        "it was in hand by then"
    )
    assert "type" not in worth(way_back)
    told = {step["op"]: step["from_type"] for step in teardown_json(way_in)["steps"]}
    assert (told["remove guard"], told["undo pump/bolts"]) == (True, False)
