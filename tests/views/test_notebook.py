"""A plan shows itself in a notebook once the view is imported, and not before."""

import xml.etree.ElementTree as ET

from sequencer.plan import display
from sequencer.render import notebook
from tests.views.paper_jobs import NAMES, flat, odd, pump


def test_a_plan_shows_its_totals_and_its_diagram():
    for plan in (pump().into, pump().back):
        shown = plan._repr_html_()
        assert "<svg" in shown
        assert "Bench pump" in shown
        start, end = shown.index("<svg"), shown.rindex("</svg>") + len("</svg>")
        ET.fromstring(shown[start:end])


def test_without_a_view_a_notebook_shows_the_repr(monkeypatch):
    monkeypatch.setattr(display, "_shown_by", [])
    assert pump().into._repr_html_() is None


def test_names_are_text_and_no_markup():
    shown = odd("markup").into._repr_html_()
    assert "<b>x</b>" not in shown
    assert "&lt;b&gt;x&lt;/b&gt;" in shown
    assert flat(NAMES["long"]) in flat(odd("long").into._repr_html_())


def test_the_helpers_plan_both_ways():
    plan = notebook.plan("examples/bench-pump.yaml", "guard")
    assert [str(target) for target in plan.targets] == ["guard off"]
    assert notebook.refit(plan).teardown is plan
