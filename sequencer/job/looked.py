"""A person's own record of what came away freely and what something unseen held, by kind of part.

Kept job by job, so that a job that is learned from twice counts once. The kinds are those of the table of
looks.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.graph.operations import REACHES
from sequencer.job.edits import EDITS
from sequencer.job.events import EventKind
from sequencer.job.moment import Moment
from sequencer.machine.model import Need, Part
from sequencer.plan.looks_kinds import Count, chance_of, is_hidden, kind_names

Jobs = Mapping[str, Mapping[str, Count]]
"""By the id of a job: its counts by kind of part."""

_HEAD = """\
# What came of pulling parts, job by job: kind = [parts that were moved, those that something unseen held].
# `plan --look-first --looked` takes it in place of the table of chances. Written by `sequencer learn`; may be
# changed by hand.
"""


def counted(moment: Moment) -> dict[str, Count]:
    """Each part that was moved, or turned out to be held, counts once: as it was drawn before."""
    held, needs, joints = _held(moment)
    machine = moment.machine
    words = tuple(f"{kind.value} " for kind in REACHES)
    moved = [op.partition(" ")[2] for op in moment.state.done if op.startswith(words)]
    found: dict[str, Count] = {}
    for name in dict.fromkeys((*moved, *held)):
        part = machine.parts.get(name)
        if part is None or part.found is not None:
            continue
        drawn = _as_drawn(part, needs, joints)
        kind = chance_of(drawn, hidden=is_hidden(machine, drawn, drawn.position)).kind
        looked, blocked = found.get(kind, Count(0, 0))
        found[kind] = Count(looked + 1, blocked + (name in held))
    return found


def _held(moment: Moment) -> tuple[list[str], set[tuple[str, str]], set[str]]:
    """The parts that something unseen held or blocked; the needs and the joints that were added for it."""
    held: dict[str, None] = {}
    needs: set[tuple[str, str]] = set()
    joints: set[str] = set()
    for one in moment.state.of(EventKind.FOUND):
        for what, path, value, _ in one.event.body.get(EDITS, ()):
            if len(path) < 2 or path[0] != "parts":
                continue
            part = str(path[1])
            if what == "entry":
                held[part] = None
                needs.add((part, _need_text(value)))
            elif "joints" in path[2:]:
                held[part] = None
                joints.add(f"{part}/{path[-1]}")
    return list(held), needs, joints


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
        behind=kept(part.behind),
        trapped_by=kept(part.trapped_by),
        joints={
            name: replace(joint, behind=kept(joint.behind))
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


def looked_text(person: str, jobs: Jobs) -> str:
    """The record file."""
    lines = [_HEAD, f"person = {_quoted(person)}", ""]
    for job in sorted(jobs):
        lines.append(f"[jobs.{_quoted(job)}]")
        lines += [f"{_quoted(kind)} = [{n.looked}, {n.blocked}]" for kind, n in sorted(jobs[job].items())]
        lines.append("")
    return "\n".join(lines)


def read_looked(path: Path) -> dict[str, dict[str, Count]]:
    """Read a record file.

    Raises:
        SequencerError: It can't be read, is no such file, or has counts that can't be.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise SequencerError(f"{path} can't be read: {fault.strerror}", "check the path") from fault
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise SequencerError(f"{path} is no record of looks: {fault}", "mend it, or learn it anew") from fault
    jobs = data.get("jobs", {})
    if not isinstance(jobs, dict):
        raise SequencerError(f"{path}: jobs is no table", 'write [jobs."name of a job"]')
    return {job: _counts(path, job, about) for job, about in jobs.items()}


def _counts(path: Path, job: str, about: object) -> dict[str, Count]:
    if not isinstance(about, dict):
        raise SequencerError(f"{path}: jobs.{job} is no table", f'write [jobs."{job}"]')
    found = {}
    for kind, pair in about.items():
        if kind not in kind_names():
            raise SequencerError(
                f"{path}: {kind!r} is no kind of part", f"kinds are {', '.join(kind_names())}"
            )
        whole = isinstance(pair, list) and len(pair) == 2 and all(type(n) is int for n in pair)
        if not whole or not 0 <= pair[1] <= pair[0]:
            raise SequencerError(
                f"{path}: {kind} of jobs.{job} has no two counts",
                "write [parts moved, those that were held]: [3, 1]",
            )
        found[kind] = Count(*pair)
    return found


def own_looked_file(pace_file: Path) -> Path:
    """Where a person's record is kept: beside their pace file."""
    name = pace_file.name.removeprefix("pace-")
    return pace_file.with_name(f"looked-{name}")


def _quoted(text: str) -> str:
    import json

    return json.dumps(text)
