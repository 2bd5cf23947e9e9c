"""What every reading holds to: it never refuses, nothing said is lost, defaults are marked."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sequencer.spoken import Context, read, said_back
from sequencer.spoken.values import Act, Care, Correction, Did, Same
from tests.spoken.score import LISTS, entries
from tests.support.profile import counts

SAYINGS = [entry["say"] for name in LISTS for entry in entries(name)]
WORDS = sorted({word for say in SAYINGS for word in say.split()})


@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(WORDS), max_size=12).map(" ".join)))
@example("²")
@example("")
@example("no,")
@example("2 x")
@example("1/0 in bolts")
@settings(max_examples=counts(quick=20, landing=30, nightly=5000), deadline=None)
def test_no_line_is_refused_and_each_can_be_said_back(text):
    line = read(text, Context({"fan-shroud": "Fan shroud"}))
    back = said_back(line)
    assert back
    assert "\n" not in back


def test_a_line_without_an_act_is_taken_as_off_and_says_that_nobody_said_so():
    (did,) = read("feed pipe, union 17").said
    assert isinstance(did, Did)
    assert (did.act.value, did.act.said) == (Act.OFF, False)
    assert read("feed pipe off").said[0].act.said
    assert said_back(read("feed pipe, union 17")) == "Feed pipe (taken as off): 1 union (17 mm socket)."


def test_a_count_that_an_article_or_nothing_says_is_no_count_that_was_said():
    (did,) = read("air box off, bolt 10, 3 nuts 8").said
    assert [(one.count, one.counted) for one in did.joints] == [(1, False), (3, True)]


def test_what_is_not_understood_is_kept_as_text_and_nothing_of_it_guessed():
    line = read("the thing with the whatsit is funny")
    assert line.said == ()
    assert line.notes == ("the thing with the whatsit is funny",)


@pytest.mark.parametrize(
    ("say", "back"),
    [
        (
            "oil cooler moved aside: 2 nuts 10; it was in the way of the fan shroud",
            "Oil cooler moved aside: 2 nuts (10 mm socket). It was in the way of the fan shroud.",
        ),
        (
            "drive belt off, tensioner 15, mark the direction",
            "Drive belt off: 1 tensioner (15 mm socket). Mark: mark the direction.",
        ),
        (
            "feed pipe, union 17, about a cup of oil came out",
            "Feed pipe (taken as off): 1 union (17 mm socket). Oil: about a cup.",
        ),
        ("spindle nut 32", "Spindle undone: 1 nut (32 mm socket)."),
        ("back cover off, 3 screws", "Back cover off: 3 screws."),
        ("did the lid: 3 screws PH2, lifts off", "Lid off: 3 screws (PH2 screwdriver)."),
        (
            "cover bolts 10 newton metres, manual page 12",
            "Cover bolts torque 10 N.m, manual page 12.",
        ),
        ("this one weighs about 20 kilos", "20 kg."),
        ("same again on the other side", "The same again on the other side."),
        ("before that, the earth strap", "Earth strap (taken as off). Done before that."),
    ],
)
def test_a_reading_says_itself_back_in_plain_english(say, back):
    assert said_back(read(say)) == back


def test_a_correction_changes_what_of_the_last_act_it_can_only_mean():
    last = read("oil cooler aside: 2 nuts 13").acts[-1]
    (fix,) = read("no, 10", Context(last=last)).said
    assert isinstance(fix, Correction)
    assert [(one.what, one.value) for one in fix.changes] == [("head", "10")]
    unsure = read("no, 3", Context(last=read("lid off: 2 screws PH2").acts[-1]))
    assert unsure.said[0].changes == ()
    assert unsure.question.choices == ("size 3", "3 of them")


def test_the_same_again_names_its_side_and_what_it_is_like():
    known = Context({"front-seat": "Front seat"})
    (same,) = read("rear seat same as the front seat", known).said
    assert isinstance(same, Same)
    assert (same.part.label, same.like.key) == ("rear seat", "front-seat")


def test_a_name_that_may_be_several_parts_or_is_nearly_one_is_asked():
    several = read("bracket off", Context({"a": "Upper bracket", "b": "Lower bracket"}))
    assert several.question.about == "part"
    assert several.question.choices[:2] == ("Upper bracket", "Lower bracket")
    nearly = read("star motor out", Context({"starter": "Starter motor"}))
    assert nearly.question.text == "Is that the Starter motor?"
    assert read("moter out", Context({"motor": "Motor"})).said[0].part.key == "motor"
    assert read("rotor out", Context({"motor": "Motor"})).said[0].part.key is None


@pytest.mark.parametrize("say", ["left mount off", "lower hose off", "inlet pipe off"])
def test_left_and_right_are_never_taken_for_one_another(say):
    parts = {"a": "Right mount", "b": "Upper hose", "c": "Outlet pipe"}
    did = read(say, Context(parts)).said[0]
    assert did.part.key is None
    assert did.part.near == ()


@pytest.mark.parametrize(
    "say",
    [
        "the shroud is not off yet",
        "should I take the pump off?",
        "going to drain the oil now",
        "the nut won't come off",
    ],
)
def test_what_was_not_done_is_no_act(say):
    assert read(say).said == ()


def test_amounts_are_read_in_litres_and_a_cup_is_rough():
    (spill,) = read("bottom hose off, about half a litre of coolant came out").said[0].spills
    assert (spill.litres, spill.rough) == (0.5, True)
    (exact,) = read("oil drained, 4.5 l came out").said[0].spills
    assert (exact.litres, exact.rough) == (4.5, False)
    (cup,) = read("feed pipe off, a cup of oil").said[0].spills
    assert (cup.litres, cup.rough) == (0.25, True)


def test_a_remark_stays_in_the_users_own_words():
    remarks = read("bracket off 2 bolts 13, the Long one goes at the top").said[0].remarks
    assert [(one.care, one.text) for one in remarks] == [(Care.NOTE, "the Long one goes at the top")]


def test_a_cover_is_no_cooler_and_a_flange_is_a_part():
    known = Context({"main-cooler": "Main cooler"})
    (did,) = read("main cover came off: 1 connector", known).acts
    assert (did.part.key, did.part.near) == (None, ("Main cooler",))
    (did,) = read("inner flange out: 1 screw T30 and 4 clips").acts
    assert did.part.label == "inner flange"
    assert read("main coler off", known).acts[0].part.key == "main-cooler"


def test_the_cap_of_a_tank_is_not_the_tank():
    known = Context({"cap": "Cap of the expansion tank", "guard": "Chain guard"})
    (did,) = read("expansion tank aside, 2 nuts 10", known).acts
    assert (did.part.key, did.part.label) == (None, "expansion tank")
    assert read("cap of the expansion tank off", known).acts[0].part.key == "cap"
    assert read("guard off", known).acts[0].part.key == "guard"


@pytest.mark.parametrize(
    ("say", "back"),
    [
        ("engine out: 4 bolts 13 with the hoist", "Engine off: 4 bolts (13 mm socket). With the hoist."),
        (
            "motor out, 4 bolts 13, engine crane",
            "Motor off: 4 bolts (13 mm socket). With the engine crane.",
        ),
        ("foot peg off, bolt 13", "Foot peg off: 1 bolt (13 mm socket)."),
        ("spark plugs removed, 4 plugs", "Spark plugs off: 4 spark plugs."),
        (
            "crack the right wheel bolts a quarter turn",
            "Right wheel loosened: ? bolts. Note: a quarter turn.",
        ),
        ("handbrake on", "Task: handbrake on."),
        ("tank cap open and on again", "Task: tank cap open and on again."),
        (
            "screw the engine support up under the sump edge",
            "Task: screw the engine support up under the sump edge.",
        ),
        (
            "track rod undone, nut 19, held the other with a 24",
            "Track rod undone: 1 nut (19 mm socket). Note: held the other with a 24.",
        ),
        ("pulled the drive belt", "Drive belt off."),
        ("pulled the bonnet release lever", "Note: pulled the bonnet release lever."),
    ],
)
def test_what_is_said_at_the_bench_is_read_as_it_is_meant(say, back):
    assert said_back(read(say)) == back


def test_where_a_part_is_belongs_to_its_name_and_the_short_name_is_known_again():
    (did,) = read("water pipe behind the block off: one bolt 13").acts
    assert did.part.label == "water pipe behind the block"
    known = Context({"pipe": "Water pipe behind the block", "rail": "Fuel rail with injectors"})
    assert read("water pipe off", known).acts[0].part.key == "pipe"
    assert read("fuel rail with injectors hung aside, two bolts 13", known).acts[0].part.key == "rail"
    assert read("fuel rail aside", known).acts[0].part.key == "rail"


@pytest.mark.parametrize(
    ("told", "say", "changes"),
    [
        ("cooler aside: 2 nuts 13", "no, 4 and T30", [("count", 4), ("head", "T30")]),
        ("box off, 3 screws PH2", "no, 4 bolts and T30", [("count", 4), ("kind", "bolt"), ("head", "T30")]),
        ("box off, 2 bolts 13", "sorry, it was 3 and size 10", [("count", 3), ("head", "10")]),
        ("box off, 2 bolts 13", "no, 4 bolts and 2 nuts", []),
        ("cooler aside: 2 nuts T30", "no, bolts and 10", []),
        ("cover off: 4 nuts 10", "no, five nuts and a bolt", []),
        ("box off, 2 bolts 13", "no, the bracket and the stay", [("part", "bracket and the stay")]),
    ],
)
def test_two_things_put_right_at_once_are_both_taken_or_asked_about(told, say, changes):
    (fix,) = read(say, Context(last=read(told).acts[-1])).said
    assert [(one.what, one.value) for one in fix.changes] == changes
