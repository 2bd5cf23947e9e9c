"""A person's own pace: what their jobs told, job by job, kept in a file of their own.

What the records come to (the person apart from the machine, the day and the kind of joint) is told anew each
time that they are asked: see ``plan.records``. A file of former times has one factor for each kind; that is
one record more, of no job.
"""

from __future__ import annotations

import json
import math
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError
from sequencer.machine.facts.learned import COMMON, Learned, Rate
from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.model import Joint, Machine, Part
from sequencer.plan.hours.records import Cell, JobRecord, ToldPace, known_from
from sequencer.plan.looks.looks_kinds import kind_name

FEWEST = 5
"""Samples that a factor stands for where nobody says how many."""

MOST = 20
"""Samples that a factor counts as at the most, and jobs that a file keeps: a pace follows the person."""

SAMPLE = 0.4
"""The deviation of the logarithm of what one step takes, by its own luck (common practice)."""

OTHER = "other work"
"""The pace of all that has none of its own."""

_HEAD = """\
# How fast one person works: what each of their jobs told, written by `sequencer learn`. Of each kind of work
# stands how many times as long as in the machine file it took, and how much that says (its precision);
# "in_ranges": of what the file times by a range; "trouble": how often fasteners fought back, and how often
# they usually do; "luck": how far single times lay off, and how far they usually do. A table like this may
# be added by hand, for all jobs:
#   [kinds.bolt]
#   factor = 1.25
#   samples = 12
"""


@dataclass(frozen=True)
class KindPace:
    """How many times as long one kind of work takes as in the file, told from so many samples."""

    factor: Fraction
    samples: int


@dataclass(frozen=True)
class PersonalPace:
    """A person's: what each job told, the oldest first, and factors that hold for all, by kind."""

    person: str = ""
    jobs: tuple[JobRecord, ...] = ()
    kinds: Mapping[str, KindPace] = field(default_factory=dict)

    def having(self, record: JobRecord) -> PersonalPace:
        """With one more job, in the place of what the same job told before."""
        others = [one for one in self.jobs if one.job != record.job]
        return replace(self, jobs=(*others, record)[-MOST:])


def records_of(pace: PersonalPace) -> tuple[JobRecord, ...]:
    """All that it tells; what belongs to no job first."""
    told = {
        Cell(COMMON if kind == OTHER else kind, False): ToldPace(
            math.log(own.factor), min(own.samples, MOST) / SAMPLE**2
        )
        for kind, own in pace.kinds.items()
    }
    return (*([JobRecord("", told)] if told else []), *pace.jobs)


def factors(pace: PersonalPace, machine: Machine) -> dict[str, KindPace]:
    """What it comes to for each kind that it tells of, and for other work; samples as good as those told."""
    records = records_of(pace)
    known = known_from(records, machine, pace.person)
    weights: dict[str, float] = {}
    for one in records:
        for cell, told in one.told.items():
            for name in {cell.kind, COMMON}:
                weights[name] = weights.get(name, 0.0) + told.weight
    return {
        kind or OTHER: KindPace(known.factor(kind), max(round(weight * SAMPLE**2), 1))
        for kind, weight in weights.items()
    }


def at_pace(machine: Machine, pace: PersonalPace) -> Machine:
    """The machine with its times at this person's pace, and with all that is known of them.

    Where the times of its joints are from is said. Changes of tool and place stay at the file's ``pace``, as
    fluids do that run out and in.
    """
    records = records_of(pace)
    if not records:
        return machine
    known = replace(known_from(records, machine, pace.person), scaled=True)
    times = _Times(machine, known)
    tasks = {
        name: replace(
            task,
            seconds=times.of(task.seconds, "task", name),
            undo=task.undo and replace(task.undo, seconds=times.of(task.undo.seconds, "restore", name)),
        )
        for name, task in machine.tasks.items()
    }
    parts = {name: times.part(part) for name, part in machine.parts.items()}
    return replace(machine, parts=parts, tasks=tasks, learned=known)


@dataclass(frozen=True)
class _Times:
    """Times of a machine at a person's pace: each by its kind, as ``plan.spreads`` names it."""

    machine: Machine
    known: Learned

    def of(self, seconds: Fraction, what: str, subject: str, kind: str = "") -> Fraction:
        ranged = TimeOf(what, subject) in self.machine.spreads
        return seconds * self.known.factor(kind or what, ranged=ranged)

    def part(self, part: Part) -> Part:
        loose, aside = (
            state and replace(state, seconds=self.of(state.seconds, what, part.name))
            for state, what in ((part.loose, "loosen"), (part.aside, "move-aside"))
        )
        joints = {name: self.joint(joint) for name, joint in part.joints.items()}
        away = self.of(part.seconds, "remove", part.name)
        return replace(part, joints=joints, seconds=away, loose=loose, aside=aside)

    def joint(self, joint: Joint) -> Joint:
        kind, path, crack = kind_name(joint), joint.path, joint.crack
        together = joint.fit or joint.together
        back = self.of(together.seconds, "fasten", path, kind)
        seconds = self.of(joint.seconds, "undo", path, kind)
        return replace(
            joint,
            seconds=seconds,
            seconds_from="own pace",
            fit=replace(together, seconds=back) if joint.fit or back != seconds else None,
            crack=crack and replace(crack, seconds=self.of(crack.seconds, "crack", path, kind)),
        )


def pace_text(pace: PersonalPace) -> str:
    """The pace file."""
    lines = [_HEAD, f"person = {json.dumps(pace.person)}", ""]
    for kind in sorted(pace.kinds):
        own = pace.kinds[kind]
        factor = f"factor = {float(own.factor):g}"
        lines += [f"[kinds.{json.dumps(kind)}]", factor, f"samples = {own.samples}", ""]
    for one in pace.jobs:
        lines += ["[[jobs]]", *(f"{key} = {json.dumps(getattr(one, key))}" for key in _ABOUT)]
        for key in _RATES:
            rate: Rate = getattr(one, key)
            lines += [f"{key} = [{rate.counted:.4g}, {rate.expected:.4g}]"] if any(rate) else []
        for table, ranged in _TABLES.items():
            told = {cell.kind or OTHER: told for cell, told in one.told.items() if cell.ranged is ranged}
            lines += [f"[jobs.{table}]"] if told else []
            for kind in sorted(told):
                times, weight = math.exp(told[kind].log), told[kind].weight
                lines.append(f"{json.dumps(kind)} = [{times:.4g}, {weight:.4g}]")
        lines.append("")
    return "\n".join(lines)


_ABOUT = ("job", "machine", "rust", "day")
_RATES = ("trouble", "luck")
_TABLES = {"times": False, "in_ranges": True}


def read_pace(path: Path) -> PersonalPace:
    """Read a pace file.

    Raises:
        SequencerError: It can't be read, or is not a pace file.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise SequencerError(f"{path} can't be read: {fault.strerror}", "check the path") from fault
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise SequencerError(f"{path} is not a pace file: {fault}", "mend it, or run learn again") from fault
    kinds, jobs, person = data.get("kinds", {}), data.get("jobs", []), data.get("person", "")
    if not isinstance(kinds, dict):
        raise SequencerError(
            f"{path} is not a pace file: `kinds` is not a table", "write [kinds.bolt], factor = 1.2"
        )
    if not isinstance(jobs, list) or not isinstance(person, str):
        raise SequencerError(
            f"{path} is not a pace file: `jobs` is not a list of tables, or `person` not a text",
            "run learn again",
        )
    found: dict[str, KindPace] = {}
    for kind, about in kinds.items():
        factor: Any = about.get("factor") if isinstance(about, dict) else None
        if not (_is_number(factor) and factor < _SLOWEST):
            raise SequencerError(
                f"{path}: kinds.{kind} has no factor between 0 and 100", "write factor = 1.2"
            )
        found[kind] = KindPace(Fraction(str(factor)), _count(about.get("samples")))
    return PersonalPace(
        person, tuple(_record(path, number, one) for number, one in enumerate(jobs, 1)), found
    )


def _record(path: Path, number: int, about: object) -> JobRecord:
    """A job of the file."""
    told: dict[Cell, ToldPace] = {}
    tables = about if isinstance(about, dict) else {}
    for table, ranged in _TABLES.items():
        pairs = tables.get(table, {})
        for kind, pair in pairs.items() if isinstance(pairs, dict) else [(table, None)]:
            if not (
                isinstance(pair, list) and len(pair) == len(ToldPace._fields) and all(map(_is_number, pair))
            ):
                raise SequencerError(
                    f"{path}: job {number} says no times for {kind!r}",
                    f"write it as {json.dumps(kind)} = [1.2, 10], or take the job out",
                )
            cell = Cell(COMMON if kind == OTHER else kind, ranged)
            told[cell] = ToldPace(math.log(pair[0]), float(pair[1]))
    rates: dict[str, Rate] = {}
    for key in _RATES:
        pair = tables.get(key, [0, 0])
        if not (isinstance(pair, list) and len(pair) == len(Rate._fields) and all(map(_is_share, pair))):
            raise SequencerError(
                f"{path}: job {number} says no two numbers for {key!r}",
                f"write {key} = [1, 2]",
            )
        rates[key] = Rate(*map(float, pair))
    words = {key: tables.get(key, "") for key in _ABOUT}
    if not told or not words["job"] or not all(isinstance(word, str) for word in words.values()):
        raise SequencerError(f"{path}: job {number} is not a record", "take it out, or run learn again")
    return JobRecord(told=told, **words, trouble=rates["trouble"], luck=rates["luck"])


def _is_number(value: Any) -> bool:  # noqa: ANN401 - whatever a file holds
    return _is_share(value) and value > 0


def _is_share(value: Any) -> bool:  # noqa: ANN401 - whatever a file holds
    return not isinstance(value, bool) and isinstance(value, int | float) and 0 <= value < _HIGHEST


_SLOWEST, _HIGHEST = 100, 1e6


def settings_folder() -> Path:
    """Where the program keeps what is a person's and no job's (XDG Base Directory Specification)."""
    told = os.environ.get("XDG_CONFIG_HOME")
    return (Path(told) if told else Path.home() / ".config") / "sequencer"


def own_file(person: str) -> Path:
    """Where a person's pace is kept: beside the program's other settings in their home."""
    word = "".join(c if c.isalnum() or c in "-_" else "-" for c in person.casefold()) or "me"
    return settings_folder() / f"pace-{word}.toml"


def _count(value: object) -> int:
    return value if isinstance(value, int) and not isinstance(value, bool) and value > 0 else FEWEST
