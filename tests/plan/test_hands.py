"""Where one pair of hands is not enough, and how the heading says so."""

import tomllib
from dataclasses import replace
from importlib import resources

import pytest

from sequencer.document.steps.cards import refit_cards, teardown_cards
from sequencer.document.steps.more_hands import hands_at, hands_words
from sequencer.plan.hazards.hands import hands
from sequencer.plan.hazards.stops import sittings_table
from sequencer.plan.practice.rules import Practice
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import names, there_and_back

BODY = """
machine: Lifts, invented
positions: {front: {}, rear: {}}
TASKS
parts:
  block: {weight: KG, joints: {bolts: {kind: bolt, head: 13}, plug: {kind: connector}}}
"""


def ways(text, off=("block",), practice=Practice.ALL):
    return there_and_back(text, [("off", part) for part in off], practice=practice)


def at(plan, *operations):
    return tuple(names(plan).index(operation) + 1 for operation in operations)


@pytest.mark.parametrize(
    ("kg", "second", "hoist"),
    [
        ("9 kg", (), ()),
        ("14 kg", ("undo block/bolts",), ()),
        ("24 kg", ("undo block/bolts", "remove block"), ()),
        ("60 kg", ("undo block/bolts",), ("remove block",)),
    ],
)
def test_what_is_heavy_asks_for_more_hands_and_a_heavier_one_for_a_hoist(kg, second, hoist):
    way_in, back = ways(BODY.replace("KG", kg).replace("TASKS", ""))
    assert hands(way_in).second == at(way_in, *second)
    assert hands(way_in).hoist == at(way_in, *hoist)
    answers = {"undo block/bolts": "fasten block/bolts", "remove block": "fit block"}
    assert set(hands(back).second) == {*at(back, *(answers[one] for one in second))}
    assert hands(back).hoist == at(back, *(answers[one] for one in hoist))


def test_what_a_task_carries_asks_for_nobody():
    jack = "tasks: {jack: {carries: [block], undo: {}}}"
    for plan in ways(BODY.replace("KG", "60 kg").replace("TASKS", jack)):
        assert hands(plan).second == hands(plan).hoist == ()


def test_what_rides_along_is_lifted_too():
    text = BODY.replace("KG", "18 kg").replace("TASKS", "") + (
        "  pipe: {weight: 8 kg, rides: {on: block, with: [nuts]}, joints: {nuts: {kind: nut, head: 13}}}\n"
    )
    way_in, _ = ways(text)
    assert at(way_in, "remove block")[0] in hands(way_in).second


def test_a_last_joint_that_is_undone_from_elsewhere_needs_somebody_at_the_part():
    text = BODY.replace("KG", "5 kg").replace("TASKS", "").replace("head: 13}", "head: 13, from: rear}")
    way_in, back = ways(text)
    assert hands(way_in).second == at(way_in, "undo block/bolts")
    assert hands(back).second == at(back, "fasten block/bolts")


def test_nobody_turns_away_from_what_a_hand_holds():
    """The plug is behind the bolts: the rule that nothing comes between can't be kept."""
    text = BODY.replace("KG", "5 kg").replace("TASKS", "")
    text += "  lid: {behind: [block/bolts], joints: {screws: {kind: screw, head: T25}}}\n"
    text = text.replace("weight: 5 kg,", "weight: 5 kg, trapped_by: [lid],")
    way_in, _ = ways(text)
    assert set(hands(way_in).second) >= {*at(way_in, "undo lid/screws", "remove lid")}


def test_the_file_may_ask_for_several_people():
    way_in, _ = ways(BODY.replace("KG", "5 kg").replace("TASKS", "").replace("{weight", "{people: 2, weight"))
    assert hands(way_in).second == at(way_in, "remove block")


def test_the_heading_and_the_data_name_the_steps_of_each_way():
    way_in, back = ways(BODY.replace("KG", "60 kg").replace("TASKS", ""))
    assert hands_words(way_in) == "A second pair of hands at step 2; a hoist at step 3."
    assert hands_words(back) == "A second pair of hands at step 2; a hoist at step 1."
    assert teardown_json(way_in)["hands"] == {"second": [2], "hoist": [3]}
    assert refit_json(back)["hands"] == {"second": [2], "hoist": [1]}


def test_one_person_will_do_where_nothing_is_said():
    way_in, _ = ways(BODY.replace("KG", "9 kg").replace("TASKS", ""))
    assert hands_words(way_in) == ""


def test_the_heading_goes_by_the_weights_of_the_cautions():
    text = resources.files("sequencer.plan").joinpath("data/cautions/raised.toml").read_text(encoding="utf-8")
    by_name = {hazard["name"]: hazard for hazard in tomllib.loads(text)["hazard"]}
    assert sittings_table()["two_people_kg"] == by_name["lift-two"]["from_kg"]
    assert sittings_table()["hoist_kg"] == by_name["lift-hoist"]["from_kg"]
    assert sittings_table()["awkward_kg"] == by_name["lift-awkward"]["from_kg"]


def test_a_bad_place_to_lift_asks_for_a_second_pair_sooner():
    text = BODY.replace("KG", "16 kg").replace("TASKS", "")
    assert "remove block" not in [names(way)[n - 1] for way in ways(text)[:1] for n in hands(way).second]
    text = text.replace("{front: {}", "{front: {label: Lying underneath}")
    (way_in, _) = ways(text)
    assert at(way_in, "remove block")[0] in hands(way_in).second


@pytest.mark.parametrize(("kg", "second", "hoist"), [("12 kg", 0, 0), ("24 kg", 0, 0), ("60 kg", 1, 1)])
def test_a_road_wheel_is_rolled_and_asks_for_nobody(kg, second, hoist):
    text = BODY.replace("TASKS", "").replace("block:", "front-wheel:").replace("KG", kg)
    for way in ways(text.replace(", plug: {kind: connector}", ""), ["front-wheel"]):
        asked = hands(way)
        assert (len(asked.second), len(asked.hoist)) == (second, hoist)


@pytest.mark.parametrize("name", ["flywheel", "steering-wheel", "wheel-carrier"])
def test_what_is_no_road_wheel_is_lifted(name):
    text = BODY.replace("TASKS", "").replace("block:", f"{name}:").replace("KG", "24 kg")
    assert len(hands(ways(text, [name])[0]).second) == 2


def test_nobody_turns_away_from_a_wheel_that_hangs_on_nothing():
    text = BODY.replace("KG", "24 kg").replace("TASKS", "").replace("block", "wheel")
    text += "  lid: {behind: [wheel/bolts], joints: {screws: {kind: screw, head: T25}}}\n"
    text = text.replace("weight: 24 kg,", "weight: 24 kg, trapped_by: [lid],")
    way_in, _ = ways(text, ["wheel"])
    assert hands(way_in).second == at(way_in, "undo lid/screws", "remove lid")


def test_a_wheel_for_which_the_file_asks_two_has_two():
    text = BODY.replace("KG", "24 kg, people: 2").replace("TASKS", "").replace("block", "wheel")
    way_in, _ = ways(text, ["wheel"])
    assert hands(way_in).second == at(way_in, "remove wheel")


def test_each_step_that_asks_says_why():
    text = BODY.replace("KG", "14 kg, people: 2").replace("TASKS", "")
    way_in, back = ways(text)
    held = "a second pair of hands: nothing else holds block meanwhile"
    assert hands_at(way_in) == {2: (held,), 3: ("2 people",)}
    assert hands_at(back) == {1: ("2 people",), 2: (held,)}
    assert held in teardown_cards(way_in)[1].steps[0].lines
    assert held in refit_cards(back)[1].steps[0].lines


def test_a_bar_comes_off_with_the_other_hand_on_what_it_held():
    bar = "tasks: {bar: {serves: [block/bolts], undo: {}}}"
    for kg, asked in (("5 kg", 0), ("14 kg", 2)):
        (way_in, _) = ways(BODY.replace("KG", kg).replace("TASKS", bar))
        assert names(way_in)[2:5] == ["undo block/bolts", "restore bar", "remove block"]
        assert len(hands(way_in).second) == asked


@pytest.mark.parametrize(("undo", "asked"), [("{}", (1, 2)), ("{people: 1}", (1,)), ("{people: 3}", (1, 2))])
def test_undoing_a_task_takes_as_many_people_as_the_task_or_as_it_says_itself(undo, asked):
    text = BODY.replace("KG", "2 kg").replace(
        "TASKS", f"tasks: {{tip: {{people: 2, undo: {undo}}}}}\nfirst: [tip]"
    )
    way_in, back = ways(text)
    assert hands(way_in).second == (1,)
    assert hands(back).second == ((len(back.steps),) if len(asked) > 1 else ())


def test_in_a_job_what_was_undone_before_hangs_all_the_same():
    text = BODY.replace("KG", "5 kg").replace("TASKS", "")
    text += "  lid: {behind: [block/bolts], joints: {screws: {kind: screw, head: T25}}}\n"
    (way_in, _) = ways(text.replace("weight: 5 kg,", "weight: 5 kg, trapped_by: [lid],"))
    done = at(way_in, "undo block/bolts")[0]
    rest = replace(way_in, steps=way_in.steps[done:], earlier=tuple(names(way_in)[:done]))
    assert hands(rest).held == {n: parts for n, parts in hands(way_in).held.items() if n > done} != {}
