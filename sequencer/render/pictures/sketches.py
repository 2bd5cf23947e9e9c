"""Diagrams by purpose: the machine, a job, a chain, a sitting, the way back; in pages that can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from sequencer.machine.model import Machine
from sequencer.plan.evenings.sittings import Sitting
from sequencer.plan.plan import Refit, Teardown
from sequencer.render.pictures.diagram import FONT, PAPER_FONT, dot_of
from sequencer.render.pictures.dot import render
from sequencer.render.pictures.drawing import Drawing, Extract
from sequencer.render.pictures.flow import ROWS, flow
from sequencer.render.pictures.leaves import ABOUT, by_position, by_sitting
from sequencer.render.pictures.on_paper import SMALLEST, paper_svg, pictures, smallest_text

BOXES = (ABOUT, 32, 24, 16, 8, 4)
"""Boxes on a page: fewer and fewer, until its letters can be read."""

FEWER_ROWS = (ROWS, 20, 16, 12, 8)
"""The same of the rows of the way back."""

_ON_PAPER = ("pdf", "png")

Cut = Callable[[int], Sequence[Extract | None]]
"""Pages of about so many boxes; None stands for all of it on one."""


def sketch(
    machine: Machine,
    plan: Teardown | None,
    form: str,
    title: str,
    on: date,
    paper: str = "a4",
    only: Iterable[str] | None = None,
) -> list[bytes]:
    """The machine, a job, or the chain of the parts in ``only``; cut by position where that is too much.

    Args:
        machine: The machine.
        plan: The job; None draws the whole machine.
        form: ``svg``, ``png``, ``pdf`` or ``dot``; a PDF holds all pages.
        title: What stands at the head of a printed page.
        on: The date there.
        paper: ``a4`` or ``letter``.
        only: Parts that are drawn; None for all of them.

    Raises:
        SequencerError: Nothing to draw with, or it failed.
    """
    drawing = Drawing(machine, plan, set(machine.parts) if only is None else set(only))
    return _sketched(drawing, lambda most: by_position(drawing, most) or [None], form, title, on, paper)


def sketches(machine: Machine, plan: Teardown | None = None) -> list[str]:
    """The machine or a job as DOT text, for a screen: a page for each of the positions' groups, or one."""
    drawing = Drawing(machine, plan, set(machine.parts))
    return [dot_of(drawing, page, FONT) for page in by_position(drawing) or (None,)]


def sketch_sittings(
    plan: Teardown,
    sittings: Sequence[Sitting],
    number: int | None,
    form: str,
    title: str,
    on: date,
    paper: str = "a4",
) -> list[bytes]:
    """The sittings of the way in, or one of them; arguments otherwise as for ``sketch``."""
    drawing = Drawing(plan.machine, plan, set(plan.machine.parts))
    return _sketched(
        drawing, lambda most: by_sitting(drawing, sittings, most, number), form, title, on, paper
    )


def sketch_back(plan: Refit, form: str, title: str, on: date, paper: str = "a4") -> list[bytes]:
    """The way back with its gates as bars; arguments otherwise as for ``sketch``."""
    if form in _ON_PAPER:
        return pictures(back_for_paper(plan, paper), title, on, form, paper)
    return [render(dot, form) for dot in flow(plan)]


def back_for_paper(plan: Refit, paper: str = "a4") -> list[str]:
    """The pages of the way back as SVG for print."""
    return _legible(lambda rows: flow(plan, PAPER_FONT, rows), FEWER_ROWS, paper)


def for_sheet(plan: Teardown, sittings: Sequence[Sitting], paper: str = "a4") -> list[str]:
    """The pictures of a sheet as SVG for print: one for each sitting, or of the whole job."""
    drawing = Drawing(plan.machine, plan, set(plan.machine.parts))
    if sittings:
        return _cut(drawing, lambda most: by_sitting(drawing, sittings, most), paper)
    return _cut(drawing, lambda most: by_position(drawing, most) or [None], paper)


def _sketched(drawing: Drawing, cut: Cut, form: str, title: str, on: date, paper: str) -> list[bytes]:
    if form in _ON_PAPER:
        return pictures(_cut(drawing, cut, paper), title, on, form, paper)
    return [render(dot_of(drawing, page, FONT), form) for page in cut(ABOUT)]


def _cut(drawing: Drawing, cut: Cut, paper: str) -> list[str]:
    """Pages as SVG, with fewer boxes on each while any has letters that are too small to print."""
    return _legible(lambda most: (dot_of(drawing, page, PAPER_FONT) for page in cut(most)), BOXES, paper)


def _legible(pages: Callable[[int], Iterable[str]], sizes: Iterable[int], paper: str) -> list[str]:
    svgs: list[str] = []
    for size in sizes:
        svgs = [paper_svg(dot) for dot in pages(size)]
        if all(smallest_text(svg, paper) >= SMALLEST for svg in svgs):
            break
    return svgs
