"""A plan in a notebook: import this, and a plan that stands at the end of a cell shows itself.

Example: ``notebook.plan("models/delivery-van.yaml", "head")``
"""

from __future__ import annotations

import html
from pathlib import Path

from sequencer.document.clean import clean
from sequencer.document.plan import aims_of, worth
from sequencer.document.words import duration, plural
from sequencer.graph.targets import parse_targets
from sequencer.machine import load
from sequencer.machine.library import find
from sequencer.plan.display import shown_by
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from sequencer.render.pictures.dot import render
from sequencer.render.pictures.flow import flow
from sequencer.render.pictures.sketches import sketches


def plan(machine: str, *off: str) -> Teardown:
    """The way in to the parts in ``off`` (``head``, or ``motor=loose``) of a machine file.

    Raises:
        MachineFileError: The file has faults.
        SequencerError: No such part, or no order of work reaches it.
    """
    read = load(find(Path(machine)))
    return plan_teardown(read, parse_targets(read, list(off), []))


def refit(way_in: Teardown) -> Refit:
    """The way back after ``way_in``."""
    return plan_refit(way_in)


def plan_html(shown: Plan) -> str:
    """A plan as HTML: what it comes to, and its diagram, as wide as the cell at the most."""
    dots = flow(shown) if isinstance(shown, Refit) else _dots(shown)
    way = "the way back" if isinstance(shown, Refit) else "the way in"
    head = f"{shown.machine.name}: {aims_of(shown)}, {way}"
    told = f"{duration(shown.totals.seconds)}, {plural(len(shown.steps), 'step')}. {worth(shown)}"
    drawn = "".join(_inline(render(dot, "svg").decode()) for dot in dots)
    return f"<div><strong>{_text(head)}</strong><br>{_text(told)}{drawn}</div>"


def _dots(shown: Plan) -> list[str]:
    assert isinstance(shown, Teardown)
    return sketches(shown.machine, shown)


def _inline(svg: str) -> str:
    """The drawing without the head of a file, which HTML has no place for."""
    start = svg.index("<svg")
    return svg[start:].replace("<svg ", '<svg style="display:block;max-width:100%;height:auto" ', 1)


def _text(words: str) -> str:
    return html.escape(clean(words))


shown_by(plan_html)
