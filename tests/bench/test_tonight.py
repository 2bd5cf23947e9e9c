"""How long and how far, on the page: with what the person has taken so far, and by one thumb."""

from datetime import timedelta

from sequencer.document.hours import hours_words
from sequencer.job.desk import By
from sequencer.job.status import hours_left, status
from tests.bench.test_no_path import desk, door_to
from tests.job.test_evening import START

__all__ = ["desk"]
SCRIPT = {"Accept": "application/json"}


def test_every_page_says_the_hours_that_the_overview_says(desk):
    desk.resume(by=By("Ada", "phone", START))
    desk.done("1-4", by=By("Ada", "phone", START + timedelta(minutes=90)))
    moment = desk.moment()
    words = hours_words(status(moment, "Ada").hours)
    assert words != hours_words(moment.plan.hours)
    assert hours_left(moment, "Ada") is hours_left(moment, "Ada")
    with door_to(desk) as door:
        for path in ("/", "/overview", "/log"):
            head = door.ask("GET", path).text.partition("</header>")[0]
            assert f"{words} left" in head


def test_stopping_in_the_wrong_place_is_made_safe_by_one_tap(desk):
    desk.resume(by=By("Ada", "phone", START))
    desk.done("1-2", by=By("Ada", "phone", START + timedelta(minutes=5)))
    with door_to(desk) as door:
        now = door.ask("GET", "/").text
        assert 'href="/stop"' in now
        assert "Stop all the same" in now
        page = door.ask("GET", "/stop").text
        assert "on to step 3 (Take off Belt guard)" in page
        assert "Fasten Belt guard: screws" in page
        wrong = door.post("/stop", {"way": "back", "op": ["remove guard"]}, headers=SCRIPT)
        assert wrong.status_code == 409
        assert "tap Stop again" in wrong.json()["problem"]
        door.post("/stop", {"way": "back", "op": ["undo guard/screws"]})
        assert desk.state().running is None
        assert "undo guard/screws" not in desk.state().ticks
        assert "Safe to leave here." in door.ask("GET", "/stop").text
