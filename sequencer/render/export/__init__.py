"""A job for other programs: JSON, CSV, Markdown, a calendar, a graph."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequencer.document.plans.both_ways import PaperJob


def _as_json(job: PaperJob, _starts: Sequence[str]) -> bytes:
    from sequencer.render.export.as_data import job_json

    return (json.dumps(job_json(job), ensure_ascii=False, indent=2) + "\n").encode()


def _as_csv(job: PaperJob, _starts: Sequence[str]) -> bytes:
    from sequencer.render.export.as_text import job_csv

    return job_csv(job).encode()


def _as_markdown(job: PaperJob, _starts: Sequence[str]) -> bytes:
    from sequencer.render.export.as_text import job_markdown

    return job_markdown(job).encode()


def _as_calendar(job: PaperJob, starts: Sequence[str]) -> bytes:
    from sequencer.render.export.calendar import calendar, starts_from

    return calendar(job, starts_from(starts))


def _as_graph(job: PaperJob, _starts: Sequence[str]) -> bytes:
    from sequencer.render.export.as_graph import job_graphml

    return job_graphml(job)


FORMATS: Mapping[str, Callable[[PaperJob, Sequence[str]], bytes]] = {
    "json": _as_json,
    "csv": _as_csv,
    "md": _as_markdown,
    "ics": _as_calendar,
    "graphml": _as_graph,
}
"""What a job can be exported as, by the ending of its file: of the job, and of when its sittings start."""
