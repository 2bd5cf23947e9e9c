"""A person's own record: which parts came away freely and which something unseen held, and what looks showed.

A look that showed something counts as one that showed what was there; one that showed nothing at a part that
turned out to be held later, as one that did not. One at a part that nothing held tells nothing of looking.

Told from the journals of their jobs, so that it is never behind them and counts nothing twice; or kept by
hand in a file, for jobs that were never on a computer. The kinds are those of the table of looks.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.graph.operations import REACHES
from sequencer.job.desk import Desk
from sequencer.job.journal.card import CARD
from sequencer.job.journal.edits import EDITS
from sequencer.job.journal.events import EventKind
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Need, Part
from sequencer.plan.looks.looks_kinds import Count, chance_of, is_hidden, kind_names, look_name, ways_to_look

Jobs = Mapping[str, Mapping[str, Count]]
"""By the id of a job: its counts by kind of part."""


def record_at(path: Path) -> dict[str, dict[str, Count]]:
    """The record at a path: a job's folder, a folder of such folders, or a record file.

    Raises:
        SequencerError: There is none, it can't be read, or has counts that can't be.
    """
    if not path.is_dir():
        return read_looked(path)
    if (path / CARD).is_file():
        return {path.name: _of_job(path)}
    found = {inside.parent.name: _of_job(inside.parent) for inside in sorted(path.glob(f"*/{CARD}"))}
    if not found:
        raise SequencerError(
            f"{path} holds no job", "name a job's folder, or the folder that your jobs are in"
        )
    return found


def _of_job(folder: Path) -> dict[str, Count]:
    desk = Desk.open(folder)
    try:
        return counted(desk.moment())
    finally:
        desk.close()


def counted(moment: Moment) -> dict[str, Count]:
    """Each part that was moved, or turned out to be held, counts once: as it was drawn before."""
    held, needs, joints = _held(moment)
    machine = moment.machine
    moved = [op.subject for op in moment.state.done if op.kind in REACHES]
    found: dict[str, Count] = {}
    for one in moment.state.of(EventKind.LOOKED):
        body = one.event.body
        missed = held.get(body["part"], 0) > one.seq and not body.get("showed")
        if missed or body.get("showed"):
            there, hidden = found.get(look_name(body["by"]), Count(0, 0))
            found[look_name(body["by"])] = Count(there + 1, hidden + missed)
    for name in dict.fromkeys((*moved, *held)):
        part = machine.parts.get(name)
        if part is None or part.found is not None:
            continue
        drawn = _as_drawn(part, needs, joints)
        kind = chance_of(drawn, hidden=is_hidden(machine, drawn, drawn.position)).kind
        looked, blocked = found.get(kind, Count(0, 0))
        found[kind] = Count(looked + 1, blocked + (name in held))
    return found


def _held(moment: Moment) -> tuple[dict[str, int], set[tuple[str, str]], set[str]]:
    """The parts that something unseen held or blocked, and the needs and the joints that were added for it.

    Each part has the place in the journal where that was found last.
    """
    held: dict[str, int] = {}
    needs: set[tuple[str, str]] = set()
    joints: set[str] = set()
    for one in moment.state.of(EventKind.FOUND):
        for what, path, value, _ in one.event.body.get(EDITS, ()):
            if len(path) < 2 or path[0] != "parts":
                continue
            part = str(path[1])
            if what == "entry":
                held[part] = one.seq
                needs.add((part, _need_text(value)))
            elif "joints" in path[2:]:
                held[part] = one.seq
                joints.add(f"{part}/{path[-1]}")
    return held, needs, joints


def _need_text(value: object) -> str:
    """A need as ``Need`` writes it."""
    if isinstance(value, dict) and value:
        name, state = next(iter(value.items()))
        return str(name) if state == "off" else f"{name}={state}"
    return str(value)


def _as_drawn(part: Part, needs: set[tuple[str, str]], joints: set[str]) -> Part:
    def kept(old: Iterable[Need]) -> tuple[Need, ...]:
        return tuple(need for need in old if (part.name, str(need)) not in needs)

    return replace(
        part,
        waits=kept(part.waits),
        joints={
            name: replace(joint, waits=kept(joint.waits))
            for name, joint in part.joints.items()
            if joint.path not in joints
        },
    )


def summed(jobs: Jobs) -> dict[str, Count]:
    """All jobs together."""
    found: dict[str, Count] = {}
    for counts in jobs.values():
        for kind, (looked, blocked) in counts.items():
            before = found.get(kind, Count(0, 0))
            found[kind] = Count(before.looked + looked, before.blocked + blocked)
    return found


def read_looked(path: Path) -> dict[str, dict[str, Count]]:
    """Read a record file: under ``[jobs.NAME]`` lines of ``kind = [parts moved, those that were held]``.

    A line of ``"look by eye" = [looks at what was there, those that did not show it]`` is of looks.

    Raises:
        SequencerError: It can't be read, is no such file, or has counts that can't be.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise SequencerError(f"{path} can't be read: {fault.strerror}", "check the path") from fault
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise SequencerError(
            f"{path} is not a record of looks: {fault}", "name a job's folder, or a TOML file of counts"
        ) from fault
    jobs = data.get("jobs", {})
    if not isinstance(jobs, dict):
        raise SequencerError(f"{path}: jobs is not a table", 'write [jobs."name of a job"]')
    return {job: _counts(path, job, about) for job, about in jobs.items()}


def _counts(path: Path, job: str, about: object) -> dict[str, Count]:
    if not isinstance(about, dict):
        raise SequencerError(f"{path}: jobs.{job} is not a table", f'write [jobs."{job}"]')
    found = {}
    names = (*kind_names(), *map(look_name, ways_to_look()))
    for kind, pair in about.items():
        if kind not in names:
            raise SequencerError(f"{path}: {kind!r} is not a kind of part", f"kinds are {', '.join(names)}")
        whole = isinstance(pair, list) and len(pair) == 2 and all(type(n) is int for n in pair)
        if not whole or not 0 <= pair[1] <= pair[0]:
            raise SequencerError(
                f"{path}: {kind} of jobs.{job} has no two counts",
                "write [parts moved, those that were held]: [3, 1]",
            )
        found[kind] = Count(*pair)
    return found
