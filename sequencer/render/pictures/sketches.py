"""Diagrams by purpose: the machine, a job, a chain, a sitting, the way back; in pages that can be read."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Sequence
from datetime import date

from sequencer.document.barring.made import barring
from sequencer.document.barring.progress import barring_now
from sequencer.document.barring.things import Barring
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Machine
from sequencer.plan.evenings.sittings import Sitting
from sequencer.plan.plan import Refit, Teardown
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.pictures.barring.cutting import PAPER, SCREEN, WHOLE, Format
from sequencer.render.pictures.barring.graph_text import dot_of
from sequencer.render.pictures.barring.pages import of_steps, scenes, scenes_of_sittings
from sequencer.render.pictures.barring.scene import Scene, svg_of
from sequencer.render.pictures.boxes import PAPER_FONT
from sequencer.render.pictures.dot import render
from sequencer.render.pictures.flow import ROWS, flow
from sequencer.render.pictures.on_paper import SMALLEST, paper_svg, pictures, smallest_text

FEWER_ROWS = (ROWS, 20, 16, 12, 8)
"""Rows of the way back on a page: fewer and fewer, until its letters can be read."""

_ON_PAPER = ("pdf", "png")

Draw = Callable[[Barring, Sequence[Format]], list[Scene]]


def sketch(
    machine: Machine,
    plan: Teardown | None,
    form: str,
    title: str,
    on: date,
    paper: str = "a4",
    only: Container[str] | None = None,
) -> list[bytes]:
    """The machine, a job, or the chain of the parts in ``only``; cut by levels where that is too much.

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
    picture = barring(machine, plan, only)
    if form == "dot":
        return [dot_of(picture).encode()]
    return _in_form(picture, scenes, form, title, on, paper)


def for_screen(picture: Barring) -> str:
    """All of it as one SVG drawing, however wide."""
    (scene,) = scenes(picture, WHOLE)
    return svg_of(scene)


def sketches(machine: Machine, plan: Teardown | None = None) -> list[str]:
    """The machine or a job as pages of SVG for a screen."""
    return list(map(svg_of, scenes(barring(machine, plan))))


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
    picture, steps = barring(plan.machine, plan), _steps_of(sittings)
    if form == "dot":
        wanted = enumerate(steps, start=1) if number is None else [(number, steps[number - 1])]
        return [dot_of(of_steps(picture, some), f"sitting {one}").encode() for one, some in wanted]
    return _in_form(
        picture, lambda one, sizes: scenes_of_sittings(one, steps, number, sizes), form, title, on, paper
    )


def sketch_now(moment: Moment, form: str, on: date, paper: str = "a4") -> list[bytes]:
    """A job as it stands: what is off, next, in hand; arguments otherwise as for ``sketch``."""
    picture = barring_now(moment)
    if form == "dot":
        return [dot_of(picture).encode()]
    return _in_form(picture, scenes, form, picture.title, on, paper)


def sketch_back(plan: Refit, form: str, title: str, on: date, paper: str = "a4") -> list[bytes]:
    """The way back with its gates as bars; arguments otherwise as for ``sketch``."""
    if form in _ON_PAPER:
        return pictures(back_for_paper(plan, paper), title, on, form, paper)
    return [render(dot, form) for dot in flow(plan)]


def back_for_paper(plan: Refit, paper: str = "a4") -> list[str]:
    """The pages of the way back as SVG for print."""
    return _legible(lambda rows: flow(plan, PAPER_FONT, rows), FEWER_ROWS, paper)


def for_sheet(plan: Teardown, sittings: Sequence[Sitting]) -> list[str]:
    """The pictures of a sheet as SVG for print: one or more for each sitting, or of the whole job."""
    picture, steps = _printable(barring(plan.machine, plan)), _steps_of(sittings)
    pages = scenes_of_sittings(picture, steps, None, PAPER) if sittings else scenes(picture, PAPER)
    return list(map(svg_of, pages))


def _in_form(picture: Barring, draw: Draw, form: str, title: str, on: date, paper: str) -> list[bytes]:
    if form in _ON_PAPER:
        return pictures(list(map(svg_of, draw(_printable(picture), PAPER))), title, on, form, paper)
    return [svg_of(scene).encode() for scene in draw(picture, SCREEN)]


def _printable(picture: Barring) -> Barring:
    """With signs that no font can show spelt out, before it is laid out."""
    return picture.said(Glyphs(picture.words()).shown)


def _steps_of(sittings: Iterable[Sitting]) -> list[frozenset[int]]:
    return [frozenset(step.number for step in sitting.steps) for sitting in sittings]


def _legible(pages: Callable[[int], Iterable[str]], sizes: Iterable[int], paper: str) -> list[str]:
    svgs: list[str] = []
    for size in sizes:
        svgs = [paper_svg(dot) for dot in pages(size)]
        if all(smallest_text(svg, paper) >= SMALLEST for svg in svgs):
            break
    return svgs
