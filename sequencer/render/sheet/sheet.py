"""The whole sheet: an overview, a run of pages for each sitting, pictures; or its stations on one page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sequencer.document.plans.both_ways import PaperJob
from sequencer.plan.hazards.cautions import notice
from sequencer.render.paper.drawn import drawn
from sequencer.render.paper.typeset import typeset
from sequencer.render.pictures.on_paper import NARROWER
from sequencer.render.sheet.brief import brief_data
from sequencer.render.sheet.cover import cover_data
from sequencer.render.sheet.stations import sections


def sheet_pdf(
    job: PaperJob, pictures: Sequence[str] = (), paper: str = "a4", *, large: bool = False
) -> bytes:
    """The sheet as PDF.

    Args:
        job: What it is about.
        pictures: Diagrams as SVG text; each gets a page of its own.
        paper: ``a4`` or ``letter``.
        large: Steps at 18 points instead of 12.

    Raises:
        SequencerError: The page could not be set.
    """
    data = {
        **_identity(job, paper),
        "large": large,
        "cover": cover_data(job),
        "sections": sections(job),
        "narrower": NARROWER,
        "pictures": [drawn(svg) for svg in pictures],
    }
    return typeset("sheet", data, job.on)[0]


def brief_pdf(job: PaperJob, paper: str = "a4") -> bytes:
    """Its stations alone, on one page as far as that can be read: where to stand, what to hold, which steps.

    Raises:
        SequencerError: The page could not be set.
    """
    return typeset("brief", {**_identity(job, paper), "ways": brief_data(job)}, job.on)[0]


def _identity(job: PaperJob, paper: str) -> dict[str, Any]:
    """What stands on every page, beside the date and the page's number."""
    return {
        "paper": paper,
        "job": job.name,
        "notice": notice(),
        "marks": [f"file {job.machine.revision}", f"plan {job.order_mark}"],
        "people": ", ".join(job.people),
    }
