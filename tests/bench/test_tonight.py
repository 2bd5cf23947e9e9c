"""How long and how far, on the page: with what the person has taken so far, and by one thumb."""

from datetime import timedelta

from sequencer.document.hours import hours_words
from sequencer.job.desk import By
from sequencer.job.status import hours_left, status
from tests.bench.test_no_path import desk, door_to
from tests.job.test_evening import START

__all__ = ["desk"]


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
