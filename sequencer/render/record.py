"""The torque record and the whereabouts of things: as text, and the record as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from sequencer.document.jobs.curing import cure_lines
from sequencer.document.jobs.record import asked_words, bench_lines, mark_words
from sequencer.document.words import plural
from sequencer.graph.said import path_words
from sequencer.job.now.choosing import op_words
from sequencer.job.now.moment import Moment
from sequencer.job.reports.record import OPEN, OVERRIDDEN, RecordEntry
from sequencer.job.reports.whereabouts import Whereabouts
from sequencer.render.data.jobs.torque_record import torqued
from sequencer.render.lines import hanging
from sequencer.render.rows import inert
from sequencer.wording import listing

if TYPE_CHECKING:
    from rich.console import Console

    from sequencer.job.journal.state import Tick

COLUMNS = (
    "joint", "state", "asked", "tolerance_percent", "read", "angle", "who", "when", "wrench", "why", "step",
    "said", "stages", "fasteners", "holds", "problem", "caution", "superseded",
)  # fmt: skip


def print_record(moment: Moment, entries: Sequence[RecordEntry], console: Console) -> None:
    """The record, what is open on top."""
    waiting = [entry for entry in entries if entry.state == OPEN]
    hanging(console, f"Torque record: {moment.card.title}", style="bold")
    for line in cure_lines(moment):
        hanging(console, line, style="bold yellow")
    _print_bench(moment, console)
    if not entries:
        hanging(console, "This job has touched no joint with a torque so far.")
        return
    overridden = sum(entry.state == OVERRIDDEN for entry in entries)
    odd = sum(entry.state not in (OPEN, OVERRIDDEN) and bool(entry.odd) for entry in entries)
    summary = f"{plural(len(entries), 'joint')}, {len(waiting)} open"
    summary += f", {overridden} closed without a reading that holds" if overridden else ""
    summary += f", {odd} with a reading before that did not hold" if odd else ""
    hanging(console, f"{summary}.")
    for title, group in (
        ("Open", waiting),
        ("Closed against the figure", [e for e in entries if e.state == OVERRIDDEN]),
        ("Closed", [e for e in entries if e.state not in (OPEN, OVERRIDDEN)]),
    ):
        if group:
            console.print()
            hanging(console, title, style="bold yellow" if title != "Closed" else "bold")
            for entry in group:
                _print_entry(moment, entry, console)


def _print_bench(moment: Moment, console: Console) -> None:
    lines = bench_lines(moment)
    if lines:
        hanging(console, "Bench lists", style="bold")
    for line in lines:
        hanging(console, line, lead="  ")


def _print_entry(moment: Moment, entry: RecordEntry, console: Console) -> None:
    number = f"{entry.step:>4}" if entry.step is not None else "   -"
    words = path_words(moment.machine, entry.joint)
    hanging(console, f"{words} ({entry.joint})", lead=f"{number}  ")
    hanging(console, f"asked{':' if entry.figure == 'open' else ''} {asked_words(entry)}", lead=" " * 6)
    for mark in entry.marks:
        hanging(console, mark_words(moment, entry.joint, mark), lead=" " * 6)
    if entry.why and entry.state == OPEN:
        hanging(console, entry.why, lead=" " * 6, style="bold")


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


MOST_SHOWN = 12
"""Things that an answer lists before it asks for more words."""


def print_where(moment: Moment, found: Sequence[Whereabouts], console: Console) -> None:
    """Where each thing is, a line or two each."""
    for one in found[:MOST_SHOWN]:
        hanging(console, f"{path_words(moment.machine, one.thing)}: {_state(one)}", style="bold")
        for line in _facts(moment, one):
            hanging(console, line, lead="      ")
    if len(found) > MOST_SHOWN:
        hanging(console, f"and {len(found) - MOST_SHOWN} more; add a word")


def _state(one: Whereabouts) -> str:
    if one.bag is not None and one.state == "undone":
        return f"undone, in bag {one.bag}"
    return one.state


def _facts(moment: Moment, one: Whereabouts) -> list[str]:
    lines = [_tick(moment, tick) for tick in one.ticks]
    if one.bag is not None and one.state != "undone":
        lines.append(f"bag {one.bag}")
    if one.label is not None:
        lines.append(f"labels {one.label} on both sides")
    if one.photos:
        lines.append(f"photos: {listing(one.photos)}")
    lines += [f"note: {note}" for note in one.notes]
    if one.planned is not None:
        lines.append(f"next: step {one.planned}")
    return lines


def _tick(moment: Moment, tick: Tick) -> str:
    step = f"step {tick.number}, " if tick.number is not None else ""
    who = f", by {tick.person}" if tick.person else ""
    return f"{step}{op_words(moment, tick.op)}{who}, {tick.time.astimezone():%Y-%m-%d %H:%M}"
