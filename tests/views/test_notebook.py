"""A plan from the door shows itself in a notebook; a plan alone knows no medium."""

import xml.etree.ElementTree as ET

import sequencer.door.plans  # noqa: F401 - it says how a plan shows itself
from sequencer.plan.plan import Plan
from tests.views.paper_jobs import NAMES, flat, odd, pump


def test_a_plan_shows_its_totals_and_its_diagram():
    for plan in (pump().into, pump().back):
        shown = plan._repr_html_()
        assert "<svg" in shown
        assert "Bench pump" in shown
        start, end = shown.index("<svg"), shown.rindex("</svg>") + len("</svg>")
        ET.fromstring(shown[start:end])


def test_without_a_view_a_notebook_shows_the_repr(monkeypatch):
    monkeypatch.setattr(Plan, "shown_by", None)
    assert pump().into._repr_html_() is None


def test_names_are_text_and_no_markup():
    shown = odd("markup").into._repr_html_()
    assert "<b>x</b>" not in shown
    assert "&lt;b&gt;x&lt;/b&gt;" in shown
    assert flat(NAMES["long"]) in flat(odd("long").into._repr_html_())
