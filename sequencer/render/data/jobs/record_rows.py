"""The torque record as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from sequencer.job.reports.record import RecordEntry
from sequencer.render.data.jobs.torque_record import torqued
from sequencer.render.rows import inert

COLUMNS = (
    "joint", "state", "asked", "tolerance_percent", "read", "angle", "who", "when", "wrench", "why", "step",
    "said", "stages", "fasteners", "holds", "problem", "caution", "superseded",
)  # fmt: skip


def record_csv(entries: Sequence[RecordEntry]) -> str:
    """One line for each thing that was said at a gate, one for a joint at which nothing was; open first."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for joint in torqued(entries):
        row = joint.plain()
        said = row.pop("marks")
        for mark in said or [{}]:
            cells = {**(dict.fromkeys(("read", "angle", "who", "when", "wrench")) if said else {}), **mark}
            writer.writerow([inert({**row, **cells}.get(column)) for column in COLUMNS])
    return out.getvalue()
