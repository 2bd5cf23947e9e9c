"""A person's own pace, by kind of joint and at all else: learned from jobs, kept in a file of their own.

For each kind: how many times as long as planned. The median is taken, so that one bolt that fought back (or a
telephone call) does not make a slow person. Too few samples say nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from statistics import median

from sequencer.errors import SequencerError
from sequencer.machine.model import Joint, Machine, Part
from sequencer.plan.looks_kinds import kind_name

FEWEST = 5
"""Samples below which nothing is told of a kind (common practice: a median of fewer moves with each one)."""

FARTHEST = Fraction(8)
"""A sample that took this many times what was planned, or as little a share of it, is an interruption or a
tick that was caught up on."""

NEAR = Fraction(1, 100)
"""Factors are kept to a hundredth."""

OTHER = "other work"
"""The pace of all that has none of its own: tasks, taking away, kinds of joint with few samples."""

_HEAD = """\
# How fast one person works, by kind of joint: 1.25 takes a quarter longer than planned. "other work" is all
# that has no table of its own. `samples` says how many steps that was told from. Written by
# `sequencer learn`; may be changed by hand.
"""


@dataclass(frozen=True)
class Sample:
    """A step that was done, by its kind of joint or as ``OTHER``: seconds planned, and seconds taken."""

    kind: str
    planned: Fraction
    taken: Fraction

    @property
    def factor(self) -> Fraction:
        """Taken over planned."""
        return self.taken / self.planned


@dataclass(frozen=True)
class KindPace:
    """How long one kind of joint takes against the plan, told from so many samples."""

    factor: Fraction
    samples: int


Pace = Mapping[str, KindPace]
"""By the name of a kind in the table of kinds."""


def learned(samples: Iterable[Sample], former: Pace | None = None) -> dict[str, KindPace]:
    """The pace that the samples tell, on top of a former one.

    A former factor counts as often as it had samples, up to twenty, so that a pace follows the person over
    the years; a kind with too few samples keeps what it had, and counts as other work where it has none.
    """
    by_kind: dict[str, list[Fraction]] = {OTHER: []}
    for sample in samples:
        if sample.planned > 0 and 1 / FARTHEST <= sample.factor <= FARTHEST:
            by_kind.setdefault(sample.kind, []).append(sample.factor)
    found = dict(former or {})
    for kind in [kind for kind, factors in by_kind.items() if kind not in found and len(factors) < FEWEST]:
        by_kind[OTHER] += by_kind.pop(kind) if kind != OTHER else []
    for kind, factors in by_kind.items():
        known = found.get(kind)
        whole = factors + ([known.factor] * min(known.samples, 20) if known else [])
        if len(whole) >= FEWEST:
            factor = Fraction(round(median(whole) / NEAR)) * NEAR
            found[kind] = KindPace(factor, (known.samples if known else 0) + len(factors))
    return found


def at_pace(machine: Machine, pace: Pace) -> Machine:
    """The machine with its times at this person's pace; where those of its joints are from is said.

    Changes of tool and place stay at the file's ``pace``. A fluid runs out and in as fast for everybody.
    """
    if not pace:
        return machine
    other = pace[OTHER].factor if OTHER in pace else Fraction(1)
    parts = {name: _paced_part(part, pace, other) for name, part in machine.parts.items()}
    tasks = {
        name: replace(
            task,
            seconds=task.seconds * other,
            undo=task.undo and replace(task.undo, seconds=task.undo.seconds * other),
        )
        for name, task in machine.tasks.items()
    }
    return replace(machine, parts=parts, tasks=tasks)


def _paced_part(part: Part, pace: Pace, other: Fraction) -> Part:
    joints = {name: _paced(joint, pace, other) for name, joint in part.joints.items()}
    loose, aside = (
        state and replace(state, seconds=state.seconds * other) for state in (part.loose, part.aside)
    )
    return replace(part, joints=joints, seconds=part.seconds * other, loose=loose, aside=aside)


def _paced(joint: Joint, pace: Pace, other: Fraction) -> Joint:
    """The joint at a pace, both ways."""
    kind = kind_name(joint)
    if kind not in pace and OTHER not in pace:
        return joint
    factor = pace[kind].factor if kind in pace else other
    return replace(
        joint,
        seconds=joint.seconds * factor,
        seconds_from="own pace",
        fit=joint.fit and replace(joint.fit, seconds=joint.fit.seconds * factor),
        crack=joint.crack and replace(joint.crack, seconds=joint.crack.seconds * factor),
    )


def pace_text(person: str, pace: Pace) -> str:
    """The pace file."""
    lines = [_HEAD, f"person = {_quoted(person)}", ""]
    for kind in sorted(pace):
        own = pace[kind]
        lines += [
            f"[kinds.{_quoted(kind)}]",
            f"factor = {float(own.factor):g}",
            f"samples = {own.samples}",
            "",
        ]
    return "\n".join(lines)


def read_pace(path: Path) -> dict[str, KindPace]:
    """Read a pace file.

    Raises:
        SequencerError: It can't be read, or is no pace file.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise SequencerError(f"{path} can't be read: {fault.strerror}", "check the path") from fault
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise SequencerError(f"{path} is no pace file: {fault}", "mend it, or learn it anew") from fault
    kinds = data.get("kinds", {})
    if not isinstance(kinds, dict):
        raise SequencerError(
            f"{path} is no pace file: `kinds` is no table", "write [kinds.bolt], factor = 1.2"
        )
    found: dict[str, KindPace] = {}
    for kind, about in kinds.items():
        factor = about.get("factor") if isinstance(about, dict) else None
        if isinstance(factor, bool) or not isinstance(factor, int | float) or not 0 < factor < 100:
            raise SequencerError(
                f"{path}: kinds.{kind} has no factor between 0 and 100", "write factor = 1.2"
            )
        found[kind] = KindPace(Fraction(str(factor)), _count(about.get("samples")))
    return found


def own_file(person: str, home: Path) -> Path:
    """Where a person's pace is kept: beside the program's other settings in their home."""
    word = "".join(c if c.isalnum() or c in "-_" else "-" for c in person.casefold()) or "me"
    return home / "sequencer" / f"pace-{word}.toml"


def samples_of(spells: Sequence[tuple[Sequence[tuple[str, Fraction]], Fraction]]) -> list[Sample]:
    """Samples from stretches of work: (kind, planned seconds) of each step in it, and the seconds it took.

    The empty kind stands for what goes at no person's pace (a change of tool or place, a fluid that runs
    out) and takes what was planned. The rest of what a stretch took is shared out as it was planned.
    """
    found = []
    for steps, taken in spells:
        planned = sum((seconds for kind, seconds in steps if kind), Fraction(0))
        left = taken - sum((seconds for kind, seconds in steps if not kind), Fraction(0))
        if planned > 0 and left > 0:
            found += [Sample(kind, own, left * own / planned) for kind, own in steps if kind and own > 0]
    return found


def _quoted(text: str) -> str:
    import json

    return json.dumps(text)


def _count(value: object) -> int:
    return value if isinstance(value, int) and not isinstance(value, bool) and value > 0 else FEWEST
