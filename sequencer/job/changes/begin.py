"""Beginning a job: the plan is made first, then the folder with the plan as its first event."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.job.changes.machine_copy import machine_event
from sequencer.job.journal.card import CARD, JOURNAL, Card
from sequencer.job.journal.events import Event, EventKind
from sequencer.job.journal.folder import PHOTOS, JobFolder, make_job
from sequencer.job.now.acts import By
from sequencer.job.now.bags import numbered
from sequencer.job.now.given import BAGS, MARKS
from sequencer.job.now.label_pairs import labels
from sequencer.job.now.practised import not_kept
from sequencer.plan.plan import Plan
from sequencer.plan.practice.rules import Practice


def first_plan(plan: Plan, digest: str, by: By) -> Event:
    """The event that holds the first plan; its numbers are the plan's own."""
    steps = [[step.number, step.operation.name] for step in plan.steps]
    order = [step.operation.name for step in plan.steps]
    given = {
        BAGS: {path: bag.number for path, bag in numbered(plan.machine, order).items()},
        MARKS: {path: label.mark for path, label in labels(plan.machine, order).items()},
    }
    body = {"steps": steps, "why": "begun", "file": digest, **not_kept(plan.practice), **given}
    return Event(EventKind.CHANGED, body, by.person, by.device)


@dataclass(frozen=True)
class Begun:
    """The machine file of a job as it begins: its name in the folder, what it says, where it was copied from.

    A job that was begun without a file has no ``origin``.
    """

    name: str
    content: bytes
    origin: str = ""


def copied(machine: Path) -> Begun:
    """The machine file of a job that begins as a copy of ``machine``, with all that this includes.

    Raises:
        SequencerError: That can't be read.
    """
    from sequencer.machine.expand import self_contained

    try:
        content = machine.read_bytes()
    except OSError as fault:
        raise SequencerError(f"{machine} can't be read: {fault.strerror}", "check the path") from fault
    return Begun(own_name(machine.name), self_contained(machine, content), str(machine.absolute()))


def begin(
    target: Path,
    plan: Plan,
    file: Begun,
    by: By,
    *,
    title: str,
    jobs: Sequence[str] = (),
    people: Sequence[str] = (),
    toolbox: Path | None = None,
    sittings: Sequence[int] = (),
    chance: float | None = None,
    pace: Path | None = None,
    database: str | None = None,
) -> JobFolder:
    """Make the job folder for ``plan``, which was made from ``file``; the card has the names of its targets.

    ``jobs`` are those of the machine file that it is, by name.

    Raises:
        SequencerError: The folder can't be made.
    """
    card = Card(
        title=title,
        id="",
        machine=file.name,
        origin=file.origin,
        off=tuple(one.text for one in plan.targets if one.state is not None),
        reach=tuple(one.text for one in plan.targets if one.state is None),
        jobs=tuple(jobs),
        people=tuple(people),
        toolbox=str(toolbox.absolute()) if toolbox else None,
        sittings=tuple(sittings),
        chance=chance,
        pace=(str(pace.absolute()),) if pace else (),
        database=database or JOURNAL,
        prefer=plan.prefer.value,
        practice=(Practice.NONE if plan.practice is None else Practice.ALL).value,
    )
    kept = machine_event(file.content, by)
    beside = Path(plan.machine.file).parent
    meshes = [part.mesh.file for part in plan.machine.parts.values() if part.mesh is not None]
    shapes = {name: beside / name for name in meshes}
    return make_job(target, card, file.content, (kept, first_plan(plan, kept.body["file"], by)), shapes)


def own_name(name: str) -> str:
    """What the job's copy of a machine file is called: a name that any system takes, so that a job can move.

    Windows takes no colon, slash, quote or wildcard, no dot or space at the end, and keeps the names of
    devices (learn.microsoft.com, Naming Files, Paths, and Namespaces).
    """
    fit = re.sub(r'[<>:"/\\|?*\x00-\x1f]', "-", name).rstrip(". ") or "machine.yaml"
    taken = fit.casefold() in {CARD, JOURNAL, PHOTOS} or re.fullmatch(
        r"(con|prn|aux|nul|com\d|lpt\d)", fit.split(".")[0].rstrip().casefold()
    )
    return f"machine-{fit}" if taken else fit
