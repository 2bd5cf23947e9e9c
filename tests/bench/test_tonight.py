"""How long and how far, on the page: with what the person has taken so far, and by one thumb."""

import re
from datetime import UTC, datetime, timedelta

from sequencer.document.hours import hours_words
from sequencer.job.desk import By
from sequencer.job.evenings.tonight import as_said
from sequencer.job.reports.status import hours_left, status
from tests.bench.test_no_path import desk, door_to
from tests.job.test_evening import START
from tests.support.profile import before_landing

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


@before_landing
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


def test_how_sure_one_wants_to_be_is_said_by_one_tap(desk):
    with door_to(desk) as door:
        assert re.search(r'<option value="0.8" selected>8 times in 10', door.ask("GET", "/tonight").text)
        door.post("/tonight", {"have": "45 min", "until": "", "chance": "0.95"}, headers=SCRIPT)
        page = door.ask("GET", "/tonight").text
        assert re.search(r'<option value="0.95" selected>almost surely', page)
        assert as_said(desk.moment(), "Ada", datetime.now(UTC)).chance == 0.95
        door.post("/tonight", {"until": "", "chance": "0.6"}, headers=SCRIPT)
        told = as_said(desk.moment(), "Ada", datetime.now(UTC))
        assert (told.chance, round(told.seconds / 60)) == (0.6, 45)
