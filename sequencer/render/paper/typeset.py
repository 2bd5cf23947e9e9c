"""A template and data to a document. What a person wrote goes in as data, and never as markup."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from importlib import resources
from typing import Any, Literal

from sequencer.errors import SequencerError
from sequencer.render.paper.glyphs import legible

# Sheets by the names that options take: ISO 216 A4, 210 × 297 mm, and Letter, 8.5 × 11 in.
_TYPST_NAMES = {"a4": "a4", "letter": "us-letter"}

PICTURES = frozenset({"svg", "code"})
"""Keys in the data under which a picture or what a code holds stands, and no text to be read."""

PPI = 150

LONGEST = 160
"""Letters of a job's name that the head of a page has room for."""


def typeset(
    template: str, data: Mapping[str, Any], on: date, form: Literal["pdf", "svg", "png"] = "pdf"
) -> list[bytes]:
    """Set a template of ``views/paper`` with ``data``: one PDF, or a picture for each page.

    Args:
        template: Its name without ``.typ``; the common definitions of ``common.typ`` stand before it.
        data: Texts, numbers, lists and mappings; what is under ``svg`` is a picture.
        on: The date of the document, also the one that is written into the file.
        form: The kind of file.

    Raises:
        SequencerError: The typesetter failed; the message is its own.
    """
    import typst

    fit, system_fonts = legible({**data, "job": _short(str(data["job"]))}, PICTURES)
    fit["paper"] = _TYPST_NAMES.get(str(data.get("paper", "a4")), "a4")
    fit["on"] = [on.year, on.month, on.day]
    files = resources.files("sequencer.render.paper")
    source = "".join(
        files.joinpath(f"{name}.typ").read_text(encoding="utf-8") for name in ("common", template)
    )
    try:
        made = typst.compile(
            source.encode(),
            format=form,
            ppi=PPI if form == "png" else None,
            ignore_system_fonts=not system_fonts,
            sys_inputs={"data": json.dumps(fit, ensure_ascii=False)},
            timestamp=datetime.combine(on, time(), UTC),
        )
    except typst.TypstError as fault:
        raise SequencerError(f"the page could not be set: {fault.message}", "please report this") from fault
    return made if isinstance(made, list) else [made]


def _short(job: str) -> str:
    """A job's name without the middle of one that is far too long for the head of a page."""
    return job if len(job) <= LONGEST else f"{job[: LONGEST // 2].rstrip()}…{job[-LONGEST // 2 :].lstrip()}"
