"""Diagrams by purpose: the machine, a job, a chain, a sitting, the way back; in pages that can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from sequencer.machine.model import Machine
from sequencer.plan.plan import Refit, Teardown
from sequencer.plan.sessions import Sitting
from sequencer.views.diagram import FONT, PAPER_FONT, dot_of
from sequencer.views.drawing import Drawing, Extract
from sequencer.views.flow import flow
from sequencer.views.leaves import ABOUT, by_position, by_sitting
from sequencer.views.paper.pictures import SMALLEST, paper_svg, smallest_text

FEWEST = 8
"""Boxes on a page below which it is not cut any further, however small its letters."""


def whole(machine: Machine, plan: Teardown | None = None, only: Iterable[str] | None = None) -> list[str]:
    """The machine, a job or the chain of ``only`` as DOT text, cut by position where it is too much."""
    drawing = Drawing(machine, plan, set(machine.parts) if only is None else set(only))
    return [dot_of(drawing, page, FONT) for page in by_position(drawing) or (None,)]


def of_sittings(plan: Teardown, sittings: Sequence[Sitting], number: int | None = None) -> list[str]:
    """A page for each sitting of the way in as DOT text, or those of sitting ``number`` alone."""
    drawing = Drawing(plan.machine, plan, set(plan.machine.parts))
    return [dot_of(drawing, page, FONT) for page in _wanted(by_sitting(drawing, sittings), number)]


def back(plan: Refit) -> list[str]:
    """The way back with its gates as bars, as DOT text."""
    return flow(plan)


def whole_on_paper(
    machine: Machine, plan: Teardown | None = None, only: Iterable[str] | None = None
) -> list[str]:
    """The same as ``whole`` as SVG for print: cut until the smallest letters have 7 points."""
    drawing = Drawing(machine, plan, set(machine.parts) if only is None else set(only))
    return _legible(drawing, lambda most: by_position(drawing, most) or [None])


def sittings_on_paper(plan: Teardown, sittings: Sequence[Sitting], number: int | None = None) -> list[str]:
    """The same as ``of_sittings`` as SVG for print."""
    drawing = Drawing(plan.machine, plan, set(plan.machine.parts))
    return _legible(drawing, lambda most: _wanted(by_sitting(drawing, sittings, most), number))


def back_on_paper(plan: Refit) -> list[str]:
    """The same as ``back`` as SVG for print."""
    return [paper_svg(dot) for dot in flow(plan, PAPER_FONT)]


def _wanted(pages: Sequence[Extract], number: int | None) -> list[Extract | None]:
    names = {f"sitting {number}"} if number is not None else set()
    return [
        page
        for page in pages
        if not names or page.title.rpartition(", sitting ")[2].partition(",")[0] == str(number)
    ]


def _legible(drawing: Drawing, cut: Callable[[int], Sequence[Extract | None]]) -> list[str]:
    """Pages as SVG, with fewer boxes on each while any has letters that are too small."""
    most = ABOUT
    while True:
        svgs = [paper_svg(dot_of(drawing, page, PAPER_FONT)) for page in cut(most)]
        if most <= FEWEST or all(smallest_text(svg) >= SMALLEST for svg in svgs):
            return svgs
        most -= 8
