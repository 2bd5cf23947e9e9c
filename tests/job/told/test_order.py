"""The order in which it came apart, and what was in the way of what."""

import pytest

from sequencer.graph import derive
from sequencer.graph.kept import kept_pairs
from tests.job.told.at_a_bare_job import order, reading, text_of, told
from tests.support.profile import before_landing


def test_an_act_that_was_forgotten_goes_before_the_last(desk):
    desk.did("cover off")
    desk.did("pump off")
    desk.did("before that, the earth strap")
    assert order(desk) == ["cover", "earth-strap", "pump"]
    assert desk.state().done == ("remove cover", "remove earth-strap", "remove pump")
    assert [str(one) for one in desk.machine.taken_apart.guessed] == ["earth-strap"]


def test_an_act_that_was_forgotten_goes_before_the_one_that_is_named(desk):
    desk.did("cover off")
    desk.did("pump off")
    desk.did("before the cover, the badge came off, 2 screws T10")
    assert order(desk) == ["badge", "cover", "pump"]
    assert desk.state().done[:2] == ("undo badge/screws", "remove badge")


def test_what_was_done_before_now_goes_to_the_front_as_it_is_told_and_takes_no_time(desk):
    desk.did("cover off")
    desk.did("bonnet off", before_now=True)
    desk.did("grille off, 4 screws T25", before_now=True)
    assert order(desk) == ["bonnet", "grille", "cover"]
    assert [str(one) for one in desk.machine.taken_apart.guessed] == ["bonnet", "grille"]
    assert desk.state().done == ("remove bonnet", "undo grille/screws", "remove grille", "remove cover")
    assert len(desk.state().spells) == 1
    assert reading(desk).faults == ()


def test_telling_what_was_done_before_starts_no_clock(desk):
    desk.did("bonnet off", before_now=True)
    assert desk.state().running is None
    assert desk.state().done == ("remove bonnet",)


def test_what_was_in_the_way_of_a_new_part_puts_that_into_the_file_not_yet_off(desk):
    desk.did("oil cooler aside, 2 nuts 10; it was in the way of the fan shroud")
    assert "behind: [{oil-cooler: aside}]" in text_of(desk)
    assert "remove fan-shroud" not in desk.state().done
    desk.did("shroud off")
    assert order(desk) == ["oil-cooler=aside", "fan-shroud"]


def test_what_is_in_the_way_of_the_wish_comes_into_its_plan(desk):
    desk.did("duct off; it was in the way of the cylinder head")
    assert [str(need) for need in desk.machine.parts["cylinder-head"].under("behind")] == ["duct"]


def test_what_can_not_be_as_things_came_apart_is_a_note(desk):
    desk.did("shroud off")
    desk.did("cooler off, it was in the way of the shroud")
    assert desk.machine.parts["shroud"].under("behind") == ()
    assert "in the way of the shroud" in text_of(desk).casefold()
    assert reading(desk).faults == ()


@before_landing
def test_two_parts_are_not_in_the_way_of_one_another(desk):
    desk.did("cooler aside, it was in the way of the shroud")
    desk.did("shroud off, it was in the way of the cooler")
    assert reading(desk).faults == ()
    desk.turn()


@before_landing
@pytest.mark.parametrize(
    ("line", "items"),
    [
        (
            "swingarm pivot bolt out, 22 mm, support the rear wheel with a jack",
            ["support-the-rear-wheel-with-a-jack", "swingarm-pivot/bolt"],
        ),
        ("gearbox off, 4 bolts 17, propped the engine", ["propped-the-engine", "gearbox"]),
        ("fuse box off, 2 screws T20, isolated the supply", ["isolated-the-supply", "fuse-box"]),
        ("subframe off, 4 bolts 17, lowered it on the jack", ["subframe", "lowered-it-on-the-jack"]),
    ],
)
def test_what_carries_or_locks_was_there_before_the_act_of_its_line(desk, line, items):
    desk.did("cover off")
    desk.did(line)
    assert order(desk) == ["cover", *items]
    assert reading(desk).faults == ()


def test_what_carries_is_taken_away_once_all_of_its_line_is_back(desk):
    desk.did("swingarm pivot bolt out, 22 mm, support the rear wheel with a jack")
    desk.turn()
    left = [op for _, op in desk.state().left]
    support = next(at for at, op in enumerate(left) if "support" in op)
    assert left.index("fasten swingarm-pivot/bolt") < support


@before_landing
@pytest.mark.parametrize(
    ("first", "items"),
    [
        ("bracket off, 2 bolts 13", ["bracket"]),
        ("bracket aside, 2 bolts 13", ["bracket=aside"]),
        ("bracket bolts out, 13", ["bracket/bolts"]),
    ],
)
@pytest.mark.parametrize("line", ["it was in the way of the pump", "the bracket was in the way of the pump"])
def test_what_a_part_was_in_the_way_of_is_told_later(desk, first, items, line):
    desk.did(first)
    done = desk.state().done
    said = desk.did(line)
    desk.did(line)
    assert [str(need) for need in desk.machine.parts["pump"].under("behind")] == items
    assert (desk.state().done, order(desk)) == (done, items)
    assert not told(desk).get("asks")
    assert not any("already" in word for word in said.words)
    assert reading(desk).faults == ()


def test_a_way_that_can_not_be_is_said_to_be_a_note(desk):
    desk.did("shroud off")
    desk.did("cooler off")
    said = desk.answer("the shroud")
    assert "kept as a note: the cooler was in the way of the shroud" in said.words
    said = desk.did("it was in the way of the shroud")
    assert any("kept as a note" in word for word in said.words)
    assert desk.machine.parts["shroud"].under("behind") == ()


@before_landing
def test_what_a_part_was_in_the_way_of_is_not_all_that_it_may_have_been_in_the_way_of(desk):
    desk.did("mount off, 3 bolts 16; it was in the way of the cover")
    desk.did("bracket off, 4 bolts 16")
    desk.did("cover off, 5 bolts 10")
    things = [str(one) for one in desk.machine.taken_apart.order]
    assert things == ["mount", "bracket", "cover"]
    assert kept_pairs(derive(desk.machine)) == {(0, 1), (1, 2)}
