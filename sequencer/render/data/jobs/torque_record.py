"""The torque record as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

from sequencer.job.now.marks import Mark, MarkSaid
from sequencer.job.now.moment import Moment
from sequencer.job.reports.record import OPEN, RecordEntry, bench_record
from sequencer.job.work.curing import cures
from sequencer.render.data.jobs.job import CureData, cure_data
from sequencer.render.data.plain import Record


class MarkData(Record):
    """One thing that was said at a gate."""

    said: Annotated[str, "`reading`, `override`, `by hand` or `skip`."]
    read: Annotated[str, "The torque that was read, with its unit."]
    angle: str
    who: str
    when: str
    wrench: Annotated[str, "With `(suggested)` where nobody named one."]
    stages: Annotated[str, "The stages that it is for, by number; empty: all."]
    fasteners: Annotated[str, "The fasteners that it is for; empty: all."]
    holds: Annotated[str, "Of a reading: `yes` or `no`."]
    problem: Annotated[str, "Why it does not hold, or the reason that was given."]
    caution: Annotated[str, "What was to be known of the wrench."]
    superseded: Annotated[str, "What came after it, when and by whom."]


class TorquedJoint(Record):
    """A joint with a torque, and all that was said at its gate."""

    joint: Annotated[str, "`part/joint`"]
    state: str
    asked: str
    figure: Annotated[str, "`open`, `told` on the job, or empty: of the file."]
    source: Annotated[str, "Where a figure that was told on the job is from, as it was said."]
    tolerance_percent: float
    read: str
    angle: str
    who: str
    when: str | None
    wrench: str
    why: str
    odd: Annotated[str, "Readings before that did not hold."]
    step: int | None
    marks: Sequence[MarkData]


class BenchListData(Record):
    """The bench list of a part that was fitted."""

    part: str
    ticked: Sequence[str]
    not_ticked: Sequence[str]
    who: str
    when: str


class TorqueRecordData(Record):
    """The torque record, with what else was put on and ticked off on the way back."""

    open: Annotated[int, "How many joints are open."]
    joints: Sequence[TorquedJoint]
    cures: Sequence[CureData]
    bench_lists: Sequence[BenchListData]


def torqued(entries: Sequence[RecordEntry]) -> list[TorquedJoint]:
    """Each joint of the record."""
    return [
        TorquedJoint.of(
            entry,
            tolerance_percent=entry.tolerance,
            when=entry.when.isoformat() if entry.when else None,
            odd="; ".join(entry.odd),
            marks=[_mark(mark) for mark in entry.marks],
        )
        for entry in entries
    ]


def record_json(moment: Moment, entries: Sequence[RecordEntry]) -> dict[str, Any]:
    """The record as plain data."""
    lists = [
        BenchListData.of(one, not_ticked=one.left, who=one.person, when=one.time.isoformat())
        for one in bench_record(moment)
    ]
    return TorqueRecordData(
        open=sum(entry.state == OPEN for entry in entries),
        joints=torqued(entries),
        cures=[cure_data(cure) for cure in cures(moment)],
        bench_lists=lists,
    ).plain()


def _mark(mark: Mark) -> MarkData:
    over, reading = mark.superseded, mark.said is MarkSaid.READING
    return MarkData.of(
        mark,
        said=mark.said.value,
        read=mark.torque,
        who=mark.person,
        when=mark.time.isoformat(),
        wrench=f"{mark.wrench} (suggested)" if mark.suggested else mark.wrench,
        stages=" ".join(map(str, mark.stages or ())),
        fasteners=" ".join(mark.fasteners or ()),
        holds=("no" if mark.problem else "yes") if reading else "",
        problem=mark.problem or ("" if reading else mark.why),
        superseded=f"{over.how} {over.time.isoformat()} {over.person}".strip() if over else "",
    )
