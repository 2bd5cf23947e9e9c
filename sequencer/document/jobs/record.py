"""The torque record, and what was said at the gates: the same for terminal, page and the end of a job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from sequencer.document.blocks import Block, Heading, Item, Items, Para, Span, Tone
from sequencer.document.clean import clean
from sequencer.document.jobs.curing import cure_lines
from sequencer.document.words import plural
from sequencer.graph.said import part_words, path_words, sentence
from sequencer.job.now.closing import cover_text
from sequencer.job.now.marks import Mark, MarkSaid
from sequencer.job.now.moment import Moment
from sequencer.job.reports.record import (
    OPEN,
    OVERRIDDEN,
    RecordEntry,
    bench_record,
    reservations,
    torque_record,
)
from sequencer.job.told.joints import SAID
from sequencer.machine.model import Joint, Subject


def asked_words(entry: RecordEntry) -> str:
    """What a gate asks for, and whether somebody has said that only on this job."""
    if entry.figure == "open":
        return "nobody has said its torque"
    told = "; the figure was told on this job" if entry.figure == "told" else ""
    source = f": {entry.source}" if entry.source and entry.source != SAID else ""
    return clean(f"{entry.asked} ±{entry.tolerance:g} %{told}{source}")


def mark_words(moment: Moment, joint: str, mark: Mark) -> str:
    """One thing that was said at a gate, on a line: what, who and when, on which wrench, what came of it."""
    here = moment.machine.joint_at(joint)
    when = f"{mark.time.astimezone():%Y-%m-%d %H:%M}"
    pieces = [f"{_said(here, mark)}; {' '.join(filter(None, (mark.person, when)))}"]
    if mark.wrench:
        pieces.append(f"{mark.wrench}{' (suggested)' if mark.suggested else ''}")
    pieces += [text for text in (mark.caution, mark.problem_now(here)) if text]
    if (over := mark.superseded) is not None:
        by = " ".join(filter(None, (f"by {over.person}" if over.person else "", f"{_time(over.time)}")))
        pieces.append(f"{over.how} {by}")
    return clean("; ".join(pieces))


def _said(joint: Joint, mark: Mark) -> str:
    if mark.said is MarkSaid.READING:
        read = " + ".join(filter(None, (mark.torque, mark.angle)))
        return f"read {read}{cover_text(joint, mark.stages, mark.fasteners)}"
    if mark.said is MarkSaid.HAND:
        return f"no figure, by hand: {mark.why}"
    return f"{'skipped' if mark.said is MarkSaid.SKIP else 'closed anyway'}: {mark.why}"


def _time(time: datetime) -> str:
    return f"{time.astimezone():%Y-%m-%d %H:%M}"


def reservation_lines(moment: Moment) -> list[str]:
    """What "all is back" would hide, a line each: what was skipped, done anyway, overridden at a gate."""
    return [clean(f"{_about(moment, what)}: {why}") for what, why in reservations(moment)]


def torque_lines(moment: Moment) -> list[str]:
    """The gates that are closed, and not simply so: overridden, or with a reading that did not hold."""
    joints = {entry.joint for entry in torque_record(moment) if entry.state != OPEN}
    return [clean(f"{_about(moment, what)}: {why}") for what, why in reservations(moment) if what in joints]


def _about(moment: Moment, what: str) -> str:
    operation = moment.operations.get(what)
    if operation is not None:
        return sentence(moment.machine, operation)
    return path_words(moment.machine, what) if Subject(what).joint else what


def bench_lines(moment: Moment) -> list[str]:
    """The bench lists of what is fitted, a line each: what was ticked, by whom and when, and what was not."""
    lines = []
    for one in bench_record(moment):
        ticked = "; ".join(one.ticked) or "nothing ticked"
        left = f"; not ticked: {'; '.join(one.left)}" if one.left else ""
        who = " ".join(filter(None, (one.person, _time(one.time))))
        lines.append(clean(f"{part_words(moment.machine, one.part)}: {ticked}{left} ({who})"))
    return lines


def record_document(moment: Moment, entries: Sequence[RecordEntry]) -> Iterator[Block]:
    """The record, what is open on top."""
    waiting = [entry for entry in entries if entry.state == OPEN]
    overridden = [entry for entry in entries if entry.state == OVERRIDDEN]
    closed = [entry for entry in entries if entry.state not in (OPEN, OVERRIDDEN)]
    yield Para(f"Torque record: {moment.card.title}", Tone.STRONG)
    yield from (Para(line, Tone.ALERT) for line in cure_lines(moment))
    if lines := bench_lines(moment):
        yield Para("Bench lists", Tone.STRONG)
        yield Items(tuple(map(Item, lines)))
    if not entries:
        yield Para("This job has touched no joint with a torque so far.")
        return
    odd = sum(bool(entry.odd) for entry in closed)
    summary = f"{plural(len(entries), 'joint')}, {len(waiting)} open"
    summary += f", {len(overridden)} closed without a reading that holds" if overridden else ""
    summary += f", {odd} with a reading before that did not hold" if odd else ""
    yield Para(f"{summary}.")
    for title, group in (
        ("Open", waiting),
        ("Closed against the figure", overridden),
        ("Closed", closed),
    ):
        if group:
            yield Heading(title, Tone.STRONG if group is closed else Tone.ALERT)
            yield Items(tuple(_entry(moment, entry) for entry in group), marks=2)


def _entry(moment: Moment, entry: RecordEntry) -> Item:
    below: list[str | tuple[Span, ...]] = [
        f"asked{':' if entry.figure == 'open' else ''} {asked_words(entry)}",
        *(mark_words(moment, entry.joint, mark) for mark in entry.marks),
    ]
    if entry.why and entry.state == OPEN:
        below.append((Span(entry.why, Tone.STRONG),))
    number = "-" if entry.step is None else str(entry.step)
    return Item(f"{path_words(moment.machine, entry.joint)} ({entry.joint})", number, below=tuple(below))
