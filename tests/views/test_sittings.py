"""The end of a sitting in words."""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import sequencer
from sequencer.document.barring.made import barring
from sequencer.document.evenings.sittings import (
    _WORDS,
    VERDICTS,
    evenings_document,
    proof_words,
    sitting_title,
    step_range,
    stop_words,
)
from sequencer.document.hours import hours_words
from sequencer.document.steps.cards import cure_words
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import load
from sequencer.plan.closing.sealing import waits_for
from sequencer.plan.evenings.evenings import in_one_go, in_sittings
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.hazards.stops import Left, Verdict, stops
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from tests.job.test_curing import PAN
from tests.support.profile import before_landing
from tests.views.paper_jobs import pump, van, van_in_sittings


def divided(plan, *minutes):
    return in_sittings(
        replace(plan, breaks=frozenset()), SittingsWish.of([Fraction(60 * one) for one in minutes])
    )


def test_every_state_that_can_be_left_has_words():
    assert set(_WORDS) == set(Left)


def half_way():
    """Sittings that end where nobody should stop."""
    for plan in (van().into, van().back):
        whole = in_one_go(plan)
        for stop in stops(plan)[1:-1]:
            yield plan, replace(whole, stop=stop, steps=plan.steps[: stop.after])


@before_landing
def test_an_unsafe_stop_says_so_first_and_names_what_is_left_before_what_is_to_be_minded():
    found = [(plan, one) for plan, one in half_way() if one.stop.verdict is Verdict.UNSAFE]
    assert found
    for plan, one in found:
        lines = stop_words(plan, one)
        assert lines[0].startswith("Not a safe place")
        unsafe = [_WORDS[loose.left][0] for loose in one.stop.loose if loose.unsafe]
        assert any(words in lines[1] for words in unsafe)


@before_landing
def test_a_stop_says_what_is_known_and_the_end_of_the_way_back_needs_no_words():
    found = set()
    for job in (van_in_sittings(), pump(20)):
        for _, plan, one in job.sittings:
            if plan.back and one.steps[-1] is plan.steps[-1]:
                assert stop_words(plan, one) == []
                continue
            assert stop_words(plan, one)[0].startswith(VERDICTS[one.stop.verdict])
            found.add(one.stop.verdict)
    assert len(found) > 1


def test_titles_say_which_way_and_which_steps():
    number, plan, one = pump(20).sittings[0]
    assert sitting_title(plan, one, number).startswith(f"Sitting 1, the way in: {step_range(one)}")


@before_landing
def test_whether_a_machine_may_be_left_is_said_in_one_place():
    room, said = (
        Path(sequencer.__file__).parent,
        re.compile("safe (place )?to leave (here|the machine)", re.IGNORECASE),
    )
    files = (path for pattern in ("*.py", "*.html", "*.typ", "*.js") for path in room.rglob(pattern))
    saying = [path for path in files if said.search(path.read_text(encoding="utf-8"))]
    assert saying == [room / "document" / "evenings" / "sittings.py"]


def test_a_picture_of_a_plan_in_sittings_makes_no_claim_about_its_order():
    plan = pump(20).into
    divided = replace(plan, bound=None)
    assert "not proven" in barring(plan.machine, replace(divided, breaks=frozenset())).title
    assert plan.breaks
    job = replace(pump(20), into=divided)
    assert "proven" not in job.worth(divided)
    assert "proven" not in barring(plan.machine, divided).title


def words_of(told):
    return " ".join(str(block) for block in evenings_document(told))


@before_landing
def test_what_all_sittings_come_to_is_a_range_and_no_time_is_less_than_nothing():
    told = divided(pump(20).into, 40, 60)
    words = words_of(told)
    assert "of at most 40 min, then 1 h each, 8 times in 10 in time" in words
    assert f"All sittings {hours_words(told.hours)}; by the file's times" in words
    around = told.seconds - told.plan.totals.seconds
    assert told.hours.likely - told.plan.hours.likely == round(around)
    cheap = replace(told, day=told.seconds - 300)
    assert "10 min to set out and clear up, 5 min less for the other order" in words_of(cheap)


@before_landing
def test_a_way_in_that_ends_where_it_may_not_be_left_says_so_in_its_head():
    """The wedge still holds the pump's motor up."""
    told = divided(pump(20).into, 40)
    assert told.sittings[-1].stop.verdict is Verdict.UNSAFE
    assert (
        proof_words(told)[-1]
        == "After step 25, where the way in ends, the machine must not be left as it is."
    )
    safe = replace(told.sittings[-1], stop=told.sittings[0].stop)
    assert "where the way in ends" not in " ".join(
        proof_words(replace(told, sittings=(*told.sittings[:-1], safe)))
    )


def test_what_cures_while_nobody_works_is_no_waiting(tmp_path):
    file = tmp_path / "pan.yaml"
    file.write_text(PAN, encoding="utf-8")
    read = load(file)
    back = plan_refit(plan_teardown(read, parse_targets(read, ["pan", "shield"])))
    (hold,) = back.holds
    assert waits_for(back, hold) > 0
    assert "of it is waiting" in cure_words(back)[0]
    later = replace(back, breaks=frozenset({hold.before_step}))
    assert waits_for(later, hold) == 0
    assert cure_words(later)[0].endswith("it cures between two sittings")
    assert waits_for(replace(back, breaks=frozenset({hold.after_step})), hold) > 0
