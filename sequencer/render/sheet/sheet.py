"""The whole sheet: cover, what to have ready, the way in, pictures, the way back."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.document.both_ways import Job
from sequencer.plan.cautions import notice
from sequencer.render.paper.drawn import drawn
from sequencer.render.paper.pictures import NARROWER
from sequencer.render.paper.typeset import typeset
from sequencer.render.sheet.cover import cover_data
from sequencer.render.sheet.stations import way_data


def sheet_pdf(job: Job, pictures: Sequence[str] = (), paper: str = "a4") -> bytes:
    """The sheet as PDF.

    Args:
        job: What it is about.
        pictures: Diagrams as SVG text; each gets a page of its own.
        paper: ``a4`` or ``letter``.

    Raises:
        SequencerError: The page could not be set.
    """
    data = {
        "paper": paper,
        "job": job.name,
        "notice": notice(),
        "cover": cover_data(job),
        "ways": [way_data(job, plan) for plan in job.ways],
        "narrower": NARROWER,
        "pictures": [drawn(svg) for svg in pictures],
    }
    return typeset("sheet", data, job.on)[0]
