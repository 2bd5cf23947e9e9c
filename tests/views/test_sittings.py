"""The end of a sitting in words."""

from sequencer.document.sittings import _WORDS, sitting_title, step_range, stop_words
from sequencer.plan.stops import Left
from tests.views.paper_jobs import pump, van_in_sittings


def test_every_state_that_can_be_left_has_words():
    assert set(_WORDS) == set(Left)


def test_an_unsafe_stop_says_so_first_and_names_what_is_left_before_what_is_to_be_minded():
    job = van_in_sittings()
    found = [(plan, one) for _, plan, one in job.sittings if not one.stop.safe]
    assert found
    for plan, one in found:
        lines = stop_words(plan.machine, one)
        assert lines[0].startswith("Not a safe place")
        unsafe = [_WORDS[loose.left][0] for loose in one.stop.loose if loose.unsafe]
        assert any(words in lines[1] for words in unsafe)


def test_a_safe_stop_says_so():
    job = van_in_sittings()
    safe = [(plan, one) for _, plan, one in job.sittings if one.stop.safe]
    assert safe
    assert all(stop_words(plan.machine, one)[0].startswith("Safe to leave here.") for plan, one in safe)


def test_titles_say_which_way_and_which_steps():
    number, plan, one = pump(8).sittings[0]
    assert sitting_title(plan, one, number).startswith(f"Sitting 1, the way in: {step_range(one)}")
