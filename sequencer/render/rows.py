"""Rows under headings, and what becomes of them: a table on the terminal, CSV, a page."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO
from typing import TYPE_CHECKING

from sequencer.document.both_ways import Job
from sequencer.document.clean import clean
from sequencer.document.lists.rows import Listing
from sequencer.plan.cautions import notice
from sequencer.render.paper.typeset import typeset

if TYPE_CHECKING:
    from rich.console import Console


def as_csv(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """CSV with a line of headings (RFC 4180), for a spreadsheet.

    A cell that a spreadsheet would take for a formula gets an apostrophe in front of it.
    """
    stream = StringIO()
    writer = csv.writer(stream)
    writer.writerow(heads)
    writer.writerows([_plain(clean(cell)) for cell in row] for row in rows)
    return stream.getvalue()


def _plain(cell: str) -> str:
    return f"'{cell}" if cell[:1] in tuple("=+-@") else cell


def print_listing(listing: Listing, console: Console) -> None:
    """The list as a table on the terminal."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    console.print(Text(clean(listing.title), style="bold"))
    if not listing.rows:
        console.print("Nothing.")
        return
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for place, head in enumerate(listing.heads):
        table.add_column(head, justify="right" if place in listing.right else "left", overflow="fold")
    for place, row in enumerate(listing.rows):
        style = "bold" if place in listing.strong else ""
        table.add_row(*(Text(clean(cell), style=style) for cell in row))
    with console.capture() as drawn:
        console.print(table)
    for line in drawn.get().splitlines():
        console.print(Text(line.rstrip()), soft_wrap=True)
    for note in listing.notes:
        console.print(Text(clean(note)))


def listing_pdf(job: Job, listing: Listing, paper: str) -> bytes:
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
