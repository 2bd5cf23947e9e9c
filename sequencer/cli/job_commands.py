"""The commands that work inside a job folder, by name; each in a file of its own."""

from __future__ import annotations

from collections.abc import Callable

from sequencer.cli import done, log, new, next, note, resume, skip, status, stop, undo  # noqa: A004

JOB_COMMANDS: dict[str, Callable[..., None]] = {
    "new": new.new,
    "next": next.next_station,
    "done": done.done,
    "skip": skip.skip,
    "undo": undo.undo,
    "status": status.status,
    "note": note.note,
    "log": log.log,
    "stop": stop.stop,
    "resume": resume.resume,
}
