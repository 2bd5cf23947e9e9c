"""The end of a sitting in words."""

import re
from dataclasses import replace
from pathlib import Path

import sequencer
from sequencer.document.sittings import _WORDS, VERDICTS, sitting_title, step_range, stop_words
from sequencer.plan.evenings.evenings import in_one_go
from sequencer.plan.stops import Left, Verdict, stops
from sequencer.render.pictures.drawing import Drawing
from tests.views.paper_jobs import pump, van, van_in_sittings


def test_every_state_that_can_be_left_has_words():
    assert set(_WORDS) == set(Left)


def half_way():
    """Sittings that end where nobody should stop."""
    for plan in (van().into, van().back):
        whole = in_one_go(plan)
        for stop in stops(plan)[1:-1]:
            yield plan, replace(whole, stop=stop, steps=plan.steps[: stop.after])


def test_an_unsafe_stop_says_so_first_and_names_what_is_left_before_what_is_to_be_minded():
    found = [(plan, one) for plan, one in half_way() if one.stop.verdict is Verdict.UNSAFE]
    assert found
    for plan, one in found:
        lines = stop_words(plan, one)
        assert lines[0].startswith("Not a safe place")
        unsafe = [_WORDS[loose.left][0] for loose in one.stop.loose if loose.unsafe]
        assert any(words in lines[1] for words in unsafe)


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


def test_whether_a_machine_may_be_left_is_said_in_one_place():
    room, said = (
        Path(sequencer.__file__).parent,
        re.compile("safe (place )?to leave (here|the machine)", re.IGNORECASE),
    )
    files = (path for pattern in ("*.py", "*.html", "*.typ", "*.js") for path in room.rglob(pattern))
    saying = [path for path in files if said.search(path.read_text(encoding="utf-8"))]
    assert saying == [room / "document" / "sittings.py"]


def test_a_picture_of_a_plan_in_sittings_makes_no_claim_about_its_order():
    plan = pump(20).into
    divided = replace(plan, bound=None)
    assert "not proven" in Drawing(plan.machine, replace(divided, breaks=frozenset()), set()).title()
    assert plan.breaks
    assert "proven" not in Drawing(plan.machine, divided, set()).title()
