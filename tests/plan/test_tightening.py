"""Order, passes and computed ranges of joints, and where they stand in text and JSON."""

import json

import pytest

from sequencer.document.plans.plan import refit_document, teardown_document
from sequencer.machine import read_text
from sequencer.plan.closing.tightening import computed_ranges, loosening, order_of, passes_of
from sequencer.render.data.plans.plan import refit_json, teardown_json
from sequencer.torque.tightening.bolt_order import bolt_order
from tests.plan.jobs import there_and_back
from tests.views.test_text import printed

HEAD_AT = "[[-50, 0], [0, 0], [50, 0], [-50, 40], [0, 40], [50, 40]]"
LID = """
machine: Lid
parts:
  lid:
    joints:
      bolts: {{kind: bolt, head: 10, count: {count}, {words}}}
"""


def joint(words, count=6):
    return read_text(LID.format(words=words, count=count)).machine.joint("lid", "bolts")


def job(words, count=6):
    return there_and_back(LID.format(words=words, count=count), [("off", "lid")])


@pytest.mark.parametrize(
    ("words", "tighten", "generated"),
    [
        ("torque: {value: 9 N.m, order: [c, d, b, e, a, f]}", "3 4 2 5 1 6", False),
        ("torque: {value: 9 N.m, pattern: line}", "3 4 2 5 1 6", True),
        # ASME PCC-1's rule for a circle (from memory): opposite pairs, the angle between them halved.
        ("torque: {value: 9 N.m, pattern: cross}", "1 4 2 5 3 6", True),
        (f"torque: 9 N.m, at: {HEAD_AT}", "5 2 6 1 3 4", True),
        (f"at: {HEAD_AT}", "5 2 6 1 3 4", True),
    ],
)
def test_a_known_order_is_the_files_or_generated_from_what_it_says(words, tighten, generated):
    order = order_of(joint(words))
    listed = order.labels if order.pictured else sorted(order.labels)
    assert " ".join(str(listed.index(one) + 1) for one in order.tighten) == tighten
    assert order.generated is generated
    assert order.loosen == tuple(reversed(order.tighten))


def test_a_spiral_without_places_is_told_in_words_both_ways():
    way_in, way_back = job("torque: {value: 9 N.m, pattern: spiral}")
    there = " ".join(printed(teardown_document, way_in).split())
    back = " ".join(printed(refit_document, way_back).split())
    assert "loosen from the outside inwards, to and fro across it (common practice)" in there
    told = "from the middle outwards, to and fro across it, 5 rounds (common practice; the maker's order"
    assert told in back
    (gate,) = refit_json(way_back)["gates"]
    assert (gate["tightening"]["order"], gate["tightening"]["generated"]) == ([], True)
    (step,) = [step for step in teardown_json(way_in)["steps"] if "loosening" in step]
    assert step["loosening"]["mark"].startswith("from the outside inwards")
    assert not any(one["order"] for one in gate["passes"])
    five = job("torque: {value: 9 N.m, pattern: spiral}", 5)[0]
    assert "loosen" not in printed(teardown_document, five)


@pytest.mark.parametrize("axis", ["+x", "-x", "+y", "-y", "+z", "-z"])
def test_places_in_the_machines_frame_give_numbers_too(axis):
    flat = [(-50, 0), (0, 0), (50, 0), (-50, 40), (0, 40), (50, 40)]
    across, up = {"x": (1, 2), "y": (0, 2), "z": (0, 1)}[axis[1]]
    spots = []
    for x, y in flat:
        spot = [7, 7, 7]
        # Who looks from the other side sees right and left exchanged.
        spot[across], spot[up] = (x if axis in ("+x", "-y", "+z") else -x), y
        spots.append(spot)
    found = order_of(joint(f"torque: {{value: 9 N.m, pattern: spiral}}, at: {spots}, axis: {axis}"))
    assert found.at == tuple(flat)
    flat_on = order_of(joint(f"torque: {{value: 9 N.m, pattern: spiral}}, at: {HEAD_AT}"))
    assert found.labels == flat_on.labels


def test_a_head_by_its_places_begins_with_the_centre_pair():
    # Centre outwards, loosened from the ends: from memory, M-H; the pair nearest the middle first.
    order = order_of(joint(f"torque: 9 N.m, at: {HEAD_AT}"))
    assert {order.labels.index(one) for one in order.tighten[:2]} == {1, 4}


@pytest.mark.parametrize("words", ["torque: 9 N.m", "kind: bolt"])
def test_where_the_file_says_nothing_there_is_no_order(words):
    assert order_of(joint("torque: 9 N.m")) is None
    assert loosening(job("torque: 9 N.m")[0]) == {}


def test_an_order_that_does_not_go_with_the_count_is_shown_as_it_is_and_nothing_made_of_it():
    words = "torque: {value: 9 N.m, order: [a, b, c]}"
    way_in, way_back = job(words)
    assert order_of(joint(words)) is None
    assert "loosen" not in printed(teardown_document, way_in)
    assert "order: a b c" in printed(refit_document, way_back)


@pytest.mark.parametrize(("count", "shown"), [(5, False), (6, True), (12, True)])
def test_from_six_fasteners_on_the_teardown_shows_the_loosening_order(count, shown):
    spots = [[40 * number, 15 * (number % 2)] for number in range(count)]
    way_in, _ = job(f"at: {spots}, torque: {{value: 9 N.m, pattern: spiral}}", count)
    text = " ".join(printed(teardown_document, way_in).split())
    row = " ".join(reversed(bolt_order(count, at=spots, pattern="spiral").tighten))
    told = f"loosen from {count} down to 1, as numbered in the picture (generated: the tightening backwards)"
    assert (told in text) is shown
    steps = [step for step in teardown_json(way_in)["steps"] if "loosening" in step]
    assert bool(steps) is shown
    for step in steps:
        assert step["op"] == "undo lid/bolts"
        assert step["loosening"]["order"] == row.split()
        assert step["loosening"]["generated"] is True
        assert step["loosening"]["mark"].startswith("generated: the tightening order backwards")


@pytest.mark.parametrize(
    ("pattern", "tight", "loose"),
    [
        ("cross", "crosswise, each time the one opposite, 5 rounds", "crosswise, each time the one opposite"),
        ("line", "from the middle outwards to both ends, 5 rounds", "from both ends inwards"),
    ],
)
def test_numbers_are_for_known_places_alone(pattern, tight, loose):
    way_in, way_back = job(f"torque: {{value: 9 N.m, pattern: {pattern}}}")
    assert f"loosen {loose} (common practice)" in " ".join(printed(teardown_document, way_in).split())
    assert f"{tight} (common practice" in " ".join(printed(refit_document, way_back).split())


def test_the_loosening_of_a_makers_order_is_marked_generated_too():
    way_in, way_back = job("torque: {value: 9 N.m, order: [c, d, b, e, a, f]}")
    assert "loosen in the order f a e b d c (generated: the tightening backwards)" in printed(
        teardown_document, way_in
    )
    (step,) = [step for step in teardown_json(way_in)["steps"] if "loosening" in step]
    assert (step["loosening"]["order"], step["loosening"]["generated"]) == (list("faebdc"), True)
    (gate,) = refit_json(way_back)["gates"]
    assert gate["tightening"]["generated"] is False
    assert gate["tightening"]["order"] == list("cdbeaf")


CRACKED = """
machine: Cracked
parts:
  belt: {joints: {idler: {kind: tensioner, time: 5 s, tool: hand}}}
  pulley:
    trapped_by: [belt]
    joints:
      bolts: {kind: bolt, head: 10, count: 6, torque: {value: 9 N.m, pattern: cross}, crack: {while: [belt]}}
"""


def test_a_joint_is_loosened_in_order_where_it_is_first_released_only():
    way_in, _ = there_and_back(CRACKED, [("off", "pulley")])
    (number,) = loosening(way_in)
    assert way_in.steps[number - 1].operation.name == "crack pulley/bolts"


@pytest.mark.parametrize(
    ("words", "count", "passes"),
    [
        ("torque: 9 N.m", 2, ["full"]),
        ("torque: 9 N.m", 4, ["snug*", "full", "last round*"]),
        # Passes at 30 and 60 % (henniggasket.com how-to-bolt-flanges; hswhite.com).
        ("torque: 100 N.m", 8, ["snug*", "part 30 N.m*", "part 60 N.m*", "full", "last round*"]),
        ("torque: {stages: [20 N.m, 40 N.m]}", 4, ["stage 1", "stage 2", "last round*"]),
        ("torque: {stages: [20 N.m, 90 deg]}", 8, ["stage 1", "angle"]),
    ],
)
def test_passes_are_the_makers_stages_or_led_up_to_and_ours_are_marked(words, count, passes):
    found = passes_of(joint(words, count))
    told = [
        f"{one.name}{' ' + one.setting if one.name == 'part' else ''}{'*' if one.generated else ''}"
        for one in found
    ]
    assert told == passes
    (gate,) = refit_json(job(words, count)[1])["gates"]
    assert [one["generated"] for one in gate["passes"]] == [one.generated for one in found]
    assert all(one["setting"].endswith((" N.m", " deg", "seated")) for one in gate["passes"])
    assert {tuple(one["order"]) for one in gate["passes"]} == {()}


@pytest.mark.parametrize("kind", ["plug", "union"])
def test_what_seals_for_itself_is_pulled_once(kind):
    text = LID.format(words="torque: 25 N.m", count=6).replace("kind: bolt", f"kind: {kind}")
    found = passes_of(read_text(text).machine.joint("lid", "bolts"))
    assert [one.name for one in found] == ["snug", "full"]


def test_the_text_says_of_the_passes_only_what_the_stages_do_not():
    texts = {
        words: printed(refit_document, job(words, 8)[1])
        for words in (
            "torque: 100 N.m",
            "torque: {stages: [40 N.m, 90 deg]}",
            "torque: {stages: [20 N.m, 40 N.m]}",
        )
    }
    single, angle, staged = (text.partition("GATE")[2] for text in texts.values())
    assert (
        "passes: first by hand, all seated, 30 N.m, 60 N.m; at the end once more round at 100 N.m (generated)"
        in " ".join(single.split())
    )
    assert "passes" not in angle
    assert "passes: at the end once more round at 40 N.m (generated)" in staged


def test_passes_are_shown_in_the_readers_unit_with_the_files_beside_it():
    text = " ".join(printed(refit_document, job("torque: 100 N.m", 8)[1], unit="lbf.ft").split())
    # 30 N·m is 22.1 lbf·ft, 60 N·m 44.3, 100 N·m 73.8 (SP 811: 1.355 818 N·m).
    assert "first by hand, all seated, 22 lbf.ft (30 N.m), 44.5 lbf.ft (60 N.m); at the end" in text
    assert "round at 73.76 lbf.ft (100 N.m) (generated)" in text


def test_with_a_known_order_each_pass_has_it():
    (gate,) = refit_json(job("torque: {value: 9 N.m, pattern: cross}")[1])["gates"]
    crosswise, round_about = ["1", "4", "2", "5", "3", "6"], ["1", "2", "3", "4", "5", "6"]
    assert [one["order"] for one in gate["passes"]] == [crosswise] * 4 + [round_about]


def test_thread_and_class_without_a_torque_show_the_computed_range_at_the_last_step_of_the_joint():
    way_in, way_back = job("thread: M8, class: 8.8, friction: plated", 2)
    (number,) = computed_ranges(way_back)
    assert way_back.steps[number - 1].operation.name == "fasten lid/bolts"
    assert way_back.gates == ()
    # M8 8.8, proof load 21.2 kN (ISO 898-1), zinc K 0.20 (Shigley, table 8-15): half of it takes 17 N·m.
    assert "no torque in the file; computed, not the maker's: 17 to 24 N.m for M8 8.8" in printed(
        refit_document, way_back
    )
    assert "computed" not in printed(teardown_document, way_in)
    assert [step.get("computed_range") for step in refit_json(way_back)["steps"]] == [
        None,
        {"low": "17 N.m", "high": "24 N.m", "mark": "computed, not the maker's"},
    ]
    assert "computed, not the maker's: 12.5 to 17.5 lbf.ft" in printed(
        refit_document, way_back, unit="lbf.ft"
    )


@pytest.mark.parametrize("words", ["thread: M8", "class: 8.8", "thread: M8, class: 8.8, torque: 24 N.m"])
def test_without_both_or_with_the_makers_figure_nothing_is_computed(words):
    assert "computed" not in json.dumps(refit_json(job(words, 2)[1]))
