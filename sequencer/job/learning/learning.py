"""What a job has taught: relations to write back into the file it came from, and the person's own pace."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind as OpKind
from sequencer.job.journal.edits import EDITS, Edit, make
from sequencer.job.journal.events import EventKind
from sequencer.job.learning.pace import PersonalPace, records_of
from sequencer.job.learning.timed import FARTHEST, TimedStretch, judged_by, others, timed
from sequencer.job.now.confirmed import UNSURE, left_unsure
from sequencer.job.now.moment import Moment
from sequencer.machine.facts.learned import Rate
from sequencer.machine.facts.time_of import TimeOf
from sequencer.machine.model import Joint, Subject
from sequencer.machine.trade.relations import relations
from sequencer.plan.hours.records import Cell, JobRecord, ToldPace
from sequencer.plan.looks.looks_kinds import kind_name
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.machine.edit import Editor

MUCH = Fraction(3, 2)
"""A joint that took this many times what the file says, or as little a share of it, is worth a new time."""

LEAST_SECONDS = 30
"""And only where it is off by so many seconds at the least."""

_NAMED = 4
"""Things that are named in one line; the rest is counted."""

_NO_PACE = PersonalPace()
_FROM = {"file": "the file has", "default": "usual are"}
"""Where the time that a joint has is from."""


@dataclass(frozen=True)
class Offer:
    """One thing that could be written into the machine file that the job's copy came from.

    Attributes:
        words: What it says, in one line.
        why: Where it is from: found when, or measured how often.
        edits: The changes that say it.
    """

    words: str
    why: str
    edits: tuple[Edit, ...]


def offers(moment: Moment, person: str, origin: Path, former: PersonalPace = _NO_PACE) -> tuple[Offer, ...]:
    """What was found and timed on this job and is not in the file at ``origin``, relation by relation.

    ``former`` is the person's pace as it was known before the job.

    Raises:
        MachineFileError: That file can't be read.
    """
    from sequencer.machine.edit import Editor

    editor = Editor(origin)
    found = [*_found(moment), *_confirmed(moment, editor.value(UNSURE)), *_timed(moment, person, former)]
    return tuple(offer for offer in found if _is_new(editor, offer))


def write(origin: Path, chosen: Iterable[Offer]) -> tuple[str, ...]:
    """Write offers into the file at ``origin``; returns what else was done there for it, a sentence each.

    Raises:
        MachineFileError: It would have faults with them; it is left alone then.
        EditError: One of them finds no place in it.
    """
    from sequencer.machine.edit import Editor

    editor = Editor(origin)
    for offer in chosen:
        for edit in offer.edits:
            make(editor, edit)
    editor.save()
    return editor.words


def _is_new(editor: Editor, offer: Offer) -> bool:
    from sequencer.machine.edit.emit import plain

    for what, path, value, _ in offer.edits:
        there, new = editor.value(tuple(path)), plain(value)
        entries = there if isinstance(there, list) else [there]
        if (what == "add" and there is None) or (what == "entry" and new not in entries):
            return True
        if what == "set" and there != new:
            return True
    return False


def _found(moment: Moment) -> Iterator[Offer]:
    for one in (*moment.state.of(EventKind.FOUND), *moment.state.of(EventKind.CORRECTED)):
        when = f"{one.event.kind.value} {one.event.time.astimezone():%Y-%m-%d}"
        who = f" by {one.event.person}" if one.event.person else ""
        for edit in one.event.body.get(EDITS, ()):
            if edit[1][0] != UNSURE[0]:
                yield Offer(_words(edit), when + who, (edit,))
    yield from _told(moment)


def _confirmed(moment: Moment, unsure: object) -> Iterator[Offer]:
    """What was taken from a type and has been in somebody's hands on this job, as one offer."""
    left = left_unsure(moment, unsure)
    if left is None or not isinstance(unsure, list):
        return
    seen = [str(one) for one in unsure if str(one) not in left]
    words = f"as in the type, confirmed: {listing(seen, _NAMED)}"
    yield Offer(words, "worked on in this job", (["set", [*UNSURE], left or None, unsure],))


def _told(moment: Moment) -> Iterator[Offer]:
    """What was told, a line at a time; the order in which this job went is its own."""
    for one in moment.state.of(EventKind.DID):
        edits = [edit for edit in one.event.body.get(EDITS, ()) if edit[1][0] != "taken_apart"]
        if edits:
            when = f"{one.event.kind.value} {one.event.time.astimezone():%Y-%m-%d}"
            who = f" by {one.event.person}" if one.event.person else ""
            yield Offer(str(one.event.body.get("what", "")), when + who, tuple(edits))


def _words(edit: Edit) -> str:
    what, path, value, _ = edit
    if what == "entry":
        where = "/".join(str(step) for step in path[1:-1] if step != "joints")
        word = next((f"is {one.phrase}" for one in relations() if one.key == path[-1]), str(path[-1]))
        return f"{where} {word} {value}"
    steps = [str(step) for step in path[1:] if step != "joints"]
    if what == "set":
        return f"{'/'.join(steps[:-1])}: {steps[-1]} {value}"
    name = "/".join(steps)
    joints = value.get("joints", {}) if isinstance(value, dict) else {}
    held = ", ".join(_held(joint) for joint in joints.values())
    return f"new {'joint' if len(path) > 2 else 'part'} {name}{f', held by {held}' if held else ''}"


def _held(joint: dict[str, Any]) -> str:
    count = f"{joint['count']} × " if joint.get("count", 1) > 1 else ""
    head = f" head {joint['head']}" if "head" in joint else ""
    return f"{count}{joint['kind']}{head}"


def _timed(moment: Moment, person: str, former: PersonalPace) -> Iterator[Offer]:
    """New times for joints that were done by themselves and took far more or less than the file says.

    A file learns what is the machine's: what the person's own pace makes of it, told from all else that they
    did, is taken out. So the new time and the pace together come to what was measured.
    """
    told = list(timed(moment, person))
    at_once = _factors(moment, person, former, told)
    for path, seconds in _taken_alone(moment, told).items():
        joint = moment.machine.joint_at(path)
        if not _is_new_time(joint.seconds, seconds / at_once(joint), MUCH * _NEARLY):
            continue
        factor = _factors(moment, person, former, others(told, (path,)))(joint)
        own = Fraction(round(max(seconds / factor, Fraction(1))))
        if _is_new_time(joint.seconds, own, MUCH):
            yield Offer(
                f"{path} takes {own} s; {_FROM[joint.seconds_from]} {round(joint.seconds)} s",
                f"measured {round(seconds)} s, {person or 'somebody'} at {float(factor):.2f} × the plan",
                (["set", ["parts", joint.part, "joints", joint.name, "time"], f"{own} s", None],),
            )


_NEARLY = Fraction(4, 5)
"""A time that is not even so far off with itself among what tells the pace is not far off without it."""


def _is_new_time(known: Fraction, seconds: Fraction, much: Fraction) -> bool:
    share = seconds / known if known else Fraction(FARTHEST)
    far = abs(seconds - known) >= LEAST_SECONDS and not 1 / much < share < much
    return far and 1 / FARTHEST <= share <= FARTHEST


def _taken_alone(moment: Moment, told: Iterable[TimedStretch]) -> dict[str, Fraction]:
    """Seconds that joints took which were undone by themselves, without the way there and the tool change."""
    taken: dict[str, list[Fraction]] = {}
    for one in told:
        step = one.done[0]
        if one.ticked == 1 and step.operation.kind is OpKind.UNDO:
            seconds = max(Fraction(one.taken) - step.change_seconds, Fraction(1))
            taken.setdefault(step.operation.subject, []).append(seconds)
    parts = moment.machine.parts
    return {path: median(all_of) for path, all_of in taken.items() if Subject(path).part in parts}


def _factors(
    moment: Moment, person: str, former: PersonalPace, told: Iterable[TimedStretch]
) -> Callable[[Joint], Fraction]:
    """How many times as long as in the file they take for a joint, by these stretches and former jobs."""
    known = judged_by(moment, person, records_of(former), told).known
    return lambda joint: known.factor(
        kind_name(joint), ranged=TimeOf("undo", joint.path) in moment.machine.spreads
    )


def new_pace(moment: Moment, person: str, former: PersonalPace) -> PersonalPace | None:
    """The person's pace with this job in it; None where the job tells nothing new of them.

    A joint whose time is the file's to learn says nothing of the person. A job that was learned before tells
    anew, in the place of what it told then.
    """
    odd = [
        str(offer.edits[0][1][1]) + "/" + str(offer.edits[0][1][3])
        for offer in _timed(moment, person, former)
    ]
    told = judged_by(moment, person, records_of(former), others(timed(moment, person), odd))
    if not told.told:
        return None
    ticks = moment.state.ticked
    day = f"{ticks[-1].time.astimezone():%Y-%m-%d}" if ticks else ""
    rust = moment.machine.condition.rust or ""
    with_it = replace(former, person=person).having(
        JobRecord(
            moment.card.id,
            _rounded(told.told),
            moment.machine.name,
            rust,
            day,
            *(Rate(*(float(f"{number:.4g}") for number in rate)) for rate in (told.trouble, told.luck)),
        )
    )
    return None if with_it == former else with_it


def _rounded(told: Mapping[Cell, ToldPace]) -> dict[Cell, ToldPace]:
    """As a file keeps it: what is told twice is then the same."""
    return {
        cell: ToldPace(math.log(float(f"{math.exp(one.log):.4g}")), float(f"{one.weight:.4g}"))
        for cell, one in told.items()
        if float(f"{one.weight:.4g}")
    }


def origin_of(moment: Moment) -> Path:
    """The file that the job's copy came from.

    Raises:
        SequencerError: The job does not say, or it is not there any more.
    """
    origin = Path(moment.card.origin) if moment.card.origin else None
    if origin is None:
        raise SequencerError(
            "this job began without a machine file; its own is that of the machine now",
            f"copy {moment.card.machine} to where you keep them; or name another: learn --into FILE",
        )
    if not origin.is_file():
        raise SequencerError(
            f"the file that this job's copy came from is not there: {origin}",
            "name it: learn --into FILE",
        )
    return origin
