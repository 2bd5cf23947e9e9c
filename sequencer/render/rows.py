"""Rows under headings as CSV, and as a page."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO

from sequencer.document.clean import clean
from sequencer.document.lists.rows import Listing
from sequencer.document.plans.both_ways import PaperJob
from sequencer.plan.hazards.cautions import notice
from sequencer.render.paper.typeset import typeset


def as_csv(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """CSV with a line of headings (RFC 4180), for a spreadsheet."""
    stream = StringIO()
    writer = csv.writer(stream)
    writer.writerow(heads)
    writer.writerows([inert(clean(cell)) for cell in row] for row in rows)
    return stream.getvalue()


def csv_file(text: str) -> bytes:
    """CSV for a file: with a byte order mark where a spreadsheet would else take its letters for others.

    Without one it reads a file as of its own old code page; letters of ASCII are the same in all of them.
    """
    return text.encode("utf-8" if text.isascii() else "utf-8-sig")


def inert(cell: object) -> object:
    """A cell that no spreadsheet takes for a formula: with an apostrophe in front (OWASP, CSV injection)."""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in tuple("=+-@\t\r") else cell


def listing_pdf(job: PaperJob, listing: Listing, paper: str) -> bytes:
    """The list as a page with tick boxes.

    Raises:
        SequencerError: The page could not be set.
    """
    data = {
        "paper": paper,
        "job": job.name,
        "notice": notice(),
        "title": listing.title,
        "heads": listing.heads,
        "right": sorted(listing.right),
        "rows": [{"cells": row, "strong": n in listing.strong} for n, row in enumerate(listing.rows)],
        "notes": listing.notes,
    }
    return typeset("list", data, job.on)[0]
