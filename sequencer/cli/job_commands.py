"""The commands that work inside a job folder, by name; each in a file of its own."""

from __future__ import annotations

from collections.abc import Callable

from sequencer.cli.after import learn, record
from sequencer.cli.before import new
from sequencer.cli.during import (
    bench,
    did,
    done,
    leftover,
    log,
    looked,
    next,  # noqa: A004
    note,
    resume,
    skip,
    status,
    stop,
    tonight,
    undo,
    where,
)
from sequencer.cli.replanning import also, ask, correct, found, restore, trouble, turn

JOB_COMMANDS: dict[str, Callable[..., None]] = {
    "new": new.new,
    "next": next.next_station,
    "did": did.did,
    "done": done.done,
    "skip": skip.skip,
    "undo": undo.undo,
    "status": status.status,
    "note": note.note,
    "log": log.log,
    "looked": looked.looked,
    "tonight": tonight.tonight,
    "stop": stop.stop,
    "resume": resume.resume,
    "found": found.found,
    "trouble": trouble.trouble,
    "correct": correct.correct,
    "also": also.also,
    "ask": ask.ask,
    "turn": turn.turn,
    "where": where.where,
    "leftover": leftover.leftover,
    "record": record.record,
    "restore": restore.restore,
    "learn": learn.learn,
    "bench": bench.bench,
}
