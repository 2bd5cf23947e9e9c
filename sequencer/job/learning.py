"""What a job has taught: relations to write back into the file it came from, and the person's own pace."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind as OpKind
from sequencer.graph.operations import Op
from sequencer.job.edits import EDITS, Edit, make
from sequencer.job.events import EventKind
from sequencer.job.moment import Moment
from sequencer.job.pace import FARTHEST, FEWEST, OTHER, KindPace, Pace, Sample, learned, samples_of
from sequencer.machine.model import Machine
from sequencer.plan.looks_kinds import kind_name
from sequencer.plan.replay import replay
from sequencer.plan.setups import Changes

if TYPE_CHECKING:
    from sequencer.machine.edit import Editor

MUCH = Fraction(3, 2)
"""A joint that took this many times what the file says, or as little a share of it, is worth a new time."""

LEAST_SECONDS = 30
"""And only where it is off by so many seconds at the least."""

_NO_PACE: Pace = {}
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


def offers(moment: Moment, person: str, origin: Path, former: Pace = _NO_PACE) -> tuple[Offer, ...]:
    """What was found and timed on this job and is not in the file at ``origin``, relation by relation.

    ``former`` is the person's pace as it was known before the job.

    Raises:
        MachineFileError: That file can't be read.
    """
    from sequencer.machine.edit import Editor

    editor = Editor(origin)
    found = [*_found(moment), *_timed(moment, person, former)]
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
            yield Offer(_words(edit), when + who, (edit,))
    yield from _told(moment)


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
        word = {"behind": "is behind", "trapped_by": "is trapped by"}.get(str(path[-1]), str(path[-1]))
        return f"{where} {word} {value}"
    name = "/".join(str(step) for step in path[1:] if step != "joints")
    if what == "set":
        return f"{name.rpartition('/')[0]}: {path[-1]} {value}"
    joints = value.get("joints", {}) if isinstance(value, dict) else {}
    held = ", ".join(_held(joint) for joint in joints.values())
    return f"new {'joint' if len(path) > 2 else 'part'} {name}{f', held by {held}' if held else ''}"


def _held(joint: dict[str, Any]) -> str:
    count = f"{joint['count']} × " if joint.get("count", 1) > 1 else ""
    head = f" head {joint['head']}" if "head" in joint else ""
    return f"{count}{joint['kind']}{head}"


def _timed(moment: Moment, person: str, former: Pace) -> Iterator[Offer]:
    """New times for joints that were done by themselves and took far more or less than the file says.

    A file learns what is the machine's: what the person's own pace makes of it, told from all else that they
    did, is taken out. So the new time and the pace together come to what was measured.
    """
    for path, seconds in _taken_alone(moment, person).items():
        joint = moment.machine.joint(*path.split("/", 1))
        factor = _pace_elsewhere(moment, person, path, former)
        own = Fraction(round(max(seconds / factor, Fraction(1))))
        share = own / joint.seconds if joint.seconds else FARTHEST
        if abs(own - joint.seconds) < LEAST_SECONDS or 1 / MUCH < share < MUCH:
            continue
        if not 1 / FARTHEST <= share <= FARTHEST:
            continue
        paced = "" if factor == 1 else f" at {float(factor):.2f} × the plan"
        yield Offer(
            f"{path} takes {own} s; {_FROM[joint.seconds_from]} {round(joint.seconds)} s",
            f"measured {round(seconds)} s, {person or 'somebody'}{paced}",
            (["set", ["parts", joint.part, "joints", joint.name, "time"], f"{own} s", None],),
        )


def _taken_alone(moment: Moment, person: str) -> dict[str, Fraction]:
    """Seconds that joints took which were undone by themselves, without the way there and the tool change."""
    changes = {op: change for op, (_, change) in _planned(moment).items()}
    taken: dict[str, list[Fraction]] = {}
    for spell in moment.state.spells:
        op = spell.ops[0]
        known = op.part in moment.machine.parts and op.joint in moment.machine.parts[op.part].joints
        alone = len(spell.ops) == 1 and op.kind is OpKind.UNDO
        if spell.person == person and spell.seconds and alone and known:
            taken.setdefault(op.subject, []).append(Fraction(spell.seconds))
    return {
        path: max(median(all_of) - changes.get(OpKind.UNDO.of(path), Fraction(0)), Fraction(1))
        for path, all_of in taken.items()
    }


def _pace_elsewhere(moment: Moment, person: str, path: str, former: Pace) -> Fraction:
    """The person's pace told from all but one joint: from its kind where that says enough, else from all."""
    kind = kind_name(moment.machine.joint(*path.split("/", 1)))
    others = pace_samples(moment, person, without=(path,))
    told = [one for one in others if 1 / FARTHEST <= one.factor <= FARTHEST]
    alike = [one.factor for one in told if one.kind == kind]
    for some in (alike, [one.factor for one in told]):
        if len(some) >= FEWEST - 1:  # with the joint itself there are enough to tell a pace from
            return Fraction(median(some))
    return former[kind].factor if kind in former else Fraction(1)


def _planned(moment: Moment) -> dict[str, tuple[Fraction, Fraction]]:
    """Planned seconds of each step that was done on the way in: its own, and the changes before it."""
    order = [op for op in moment.state.done if op in moment.whole.operations]
    steps = replay(moment.whole, order, Changes.of(moment.machine))
    return {step.operation.name: (step.seconds, step.change_seconds) for step in steps}


def pace_samples(moment: Moment, person: str, without: Collection[str] = ()) -> list[Sample]:
    """What this job tells of a person's pace: each step that they did, with what it took.

    What was undone with a joint of ``without`` is left out.
    """
    planned = _planned(moment)
    spells: list[tuple[Sequence[tuple[str, Fraction]], Fraction]] = []
    for spell in moment.state.spells:
        if spell.person != person or not spell.seconds:
            continue
        if any(op.subject in without for op in spell.ops):
            continue
        steps: list[tuple[str, Fraction]] = []
        for op in spell.ops:
            own, change = planned.get(op, (Fraction(0), Fraction(0)))
            steps += [(_kind(moment.machine, op), own), ("", change)]
        spells.append((steps, Fraction(spell.seconds)))
    return samples_of(spells)


def _kind(machine: Machine, op: Op) -> str:
    own = machine.parts.get(op.part)
    if own and op.joint in own.joints:
        return kind_name(own.joints[op.joint])
    return "" if op.kind is OpKind.DRAIN else OTHER


def new_pace(moment: Moment, person: str, former: Pace) -> dict[str, KindPace]:
    """The person's pace with this job in it: only what the job says something new about.

    A joint whose time is the file's to learn says nothing of the person.
    """
    odd = [
        str(offer.edits[0][1][1]) + "/" + str(offer.edits[0][1][3])
        for offer in _timed(moment, person, former)
    ]
    whole = learned(pace_samples(moment, person, odd), former)
    return {kind: pace for kind, pace in whole.items() if former.get(kind) != pace}


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
