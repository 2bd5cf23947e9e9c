"""A plan at the end of a notebook's cell shows itself: what it comes to, and its diagram."""

from __future__ import annotations

import html

from sequencer.document.clean import clean
from sequencer.document.hours import hours_words
from sequencer.document.plans.plan import aims_of, worth
from sequencer.document.steps.more_hands import hands_words
from sequencer.document.words import plural
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.render.pictures.dot import render
from sequencer.render.pictures.flow import flow
from sequencer.render.pictures.sketches import sketches
from sequencer.wording import capital


def plan_html(shown: Plan) -> str:
    """A plan as HTML: what it comes to, and its diagram, as wide as the cell at the most."""
    drawings = _drawings(shown)
    way = "the way back" if isinstance(shown, Refit) else "the way in"
    head = f"{shown.machine.name}: {aims_of(shown)}, {way}"
    steps = f"{capital(hours_words(shown.hours))}; {plural(len(shown.steps), 'step')}."
    told = " ".join(filter(None, (steps, worth(shown), hands_words(shown))))
    drawn = "".join(map(_inline, drawings))
    return f"<div><strong>{_text(head)}</strong><br>{_text(told)}{drawn}</div>"


def _drawings(shown: Plan) -> list[str]:
    if isinstance(shown, Refit):
        return [render(dot, "svg").decode() for dot in flow(shown)]
    assert isinstance(shown, Teardown)
    return sketches(shown.machine, shown)


def _inline(svg: str) -> str:
    """The drawing without the head of a file, which HTML has no place for."""
    start = svg.index("<svg")
    return svg[start:].replace("<svg ", '<svg style="display:block;max-width:100%;height:auto" ', 1)


def _text(words: str) -> str:
    return html.escape(clean(words))
