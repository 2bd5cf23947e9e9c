"""Something found on the job that nobody had drawn: into this job's machine file, and into the plan."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, subjects
from sequencer.job.changes.replanning import add_new_plan
from sequencer.job.journal.edits import EDITS, Edit, MachineFile, changed, owner_path
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError, refused
from sequencer.job.now.moment import Moment, Sight
from sequencer.machine.called import (
    joint_called,
    known_by_name,
    meant_joints,
    meant_parts,
    part_called,
    position_called,
)
from sequencer.machine.faults import MachineFileError, nearest
from sequencer.machine.model import Machine, Subject
from sequencer.machine.survey.joint_line import read_joint
from sequencer.machine.survey.short_lines import AnswerError, key_of, label_of
from sequencer.machine.trade.heads import no_tool
from sequencer.machine.trade.relations import OFF, UNDO, Relation, barring, found_words
from sequencer.plan.resume import RESHUFFLE_SECONDS
from sequencer.quantities import parse_seconds

STATES = ("off", "aside", "loose")
"""How far a thing may have to move, the farthest first."""


@dataclass(frozen=True)
class Find:
    """What was found, in the person's words.

    Attributes:
        what: What it is; the name of a part that the file has: only the relations are new.
        said: What it is in the way of, or waits for: parts, some also ``part/joint``, by the words that the
            table of relations has for it.
        held: What holds it, each like ``bolt 10 x2`` or ``connector``.
        on: A part that the file has and that this holds too: no new part, only joints of that one.
        position: Where you stand for it; None: the file's first position.
        seconds: The time of taking it away, as written; None: the usual one.
        state: How far it has to move: ``off``, ``aside`` or ``loose``.
    """

    what: str
    said: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    held: tuple[str, ...] = ()
    on: str | None = None
    position: str | None = None
    seconds: str | None = None
    note: str = ""
    state: str = "off"


def found(find: Find, file: MachineFile, on: date, reshuffle: Fraction = RESHUFFLE_SECONDS) -> Act:
    """Add it to the job's machine file and plan the rest anew.

    The event holds the change; the file follows once the event is written.
    """

    def act(moment: Moment, _by: By) -> Draft:
        undone = () if moment.state.turned else moment.present.done
        edits = edits_for(moment.machine, find, on, undone)
        draft = Draft()
        sight, text = put_into(draft, file, edits)
        draft.add(
            EventKind.FOUND,
            {
                "what": find.what.strip(),
                EDITS: [list(edit) for edit in edits],
                "text": text,
                "note": find.note,
            },
        )
        change = add_new_plan(draft, moment, f"found: {find.what.strip()}", sight=sight, reshuffle=reshuffle)
        if not change.new and any(what == "add" for what, *_ in edits):
            draft.words.append(
                "nothing that is left to do needs it away: it is in the file, and no step comes of it"
            )
        return draft

    return act


def put_into(draft: Draft, file: MachineFile, edits: Iterable[Edit]) -> tuple[Sight, str]:
    """The machine as it will be with these changes, for ``draft`` too, and the lines that they change.

    Raises:
        MachineFileError: The file would have faults with them; nothing is written.
        EditError: One of them finds no place.
    """
    editor = changed(file, edits)
    reading = editor.read()
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    draft.content = editor.content
    draft.sight = Sight(reading.machine, hashlib.sha256(draft.content).hexdigest())
    draft.words += editor.words
    return draft.sight, editor.diff()


def edits_for(machine: Machine, find: Find, on: date, done: Collection[str] = ()) -> list[Edit]:
    """The changes to the machine file, of which the way in has come as far as ``done``.

    Raises:
        RefusedError: It says nothing, or names what the machine does not have.
    """
    if find.state not in STATES:
        raise _unknown("state", find.state, STATES)
    try:
        find = _with_keys(machine, find)
    except SequencerError as fault:
        raise refused(fault) from None
    comment = f"found on the job, {on.isoformat()}"
    joints = _joints(machine, find, on)
    tools = _tools(machine, joints)
    if find.on is not None:
        return tools + _more_joints(find.on, joints, comment)
    name = known_by_name(machine, find.what) or _free_name(machine, find.what)
    edits: list[Edit] = tools
    if name not in machine.parts:
        edits.append(["add", ["parts", name], _part(find, name, joints, on), None])
    elif joints:
        raise RefusedError(
            f"{name} is in the file already", f"for another joint of it: --on {name}", code="known-part"
        )
    need = name if find.state == "off" else {name: find.state}
    for relation, word in found_words():
        for other in find.said.get(word.word, ()):
            if not word.own:
                barred = _still_barred(machine, relation, other, done)
                edits += [["entry", [*owner_path(thing), one.key], need, comment] for one, thing in barred]
            elif name in machine.parts:
                edits.append(["entry", ["parts", name, relation.key], other, comment])
    if not edits:
        remedy = "say what it blocks (--blocks) or what it is behind (--behind)"
        raise RefusedError(f"nothing new is said about {name}", remedy, code="says-nothing")
    return edits


def _still_barred(
    machine: Machine, relation: Relation, thing: str, done: Collection[str]
) -> list[tuple[Relation, str]]:
    """What a thing in the way can have barred: of a part that is half undone not the joints that are."""
    part = machine.parts.get(thing)
    if part is None or UNDO not in relation.waits:
        return [(relation, thing)]
    touched = subjects(done, Kind.SLACKEN, Kind.UNDO)
    left = [one for one in part.joints.values() if one.path not in touched]
    if len(left) == len(part.joints):
        return [(relation, thing)]
    return [(barring(OFF), thing), *((relation, one.path) for one in left)]


def _more_joints(part: str, joints: Mapping[str, Any], comment: str) -> list[Edit]:
    """What else holds a part that is in the file."""
    if not joints:
        remedy = 'add it like this: --held "bolt 10 x2"'
        raise RefusedError(f"nothing says what else holds {part}", remedy, code="holds-what")
    return [["add", ["parts", part, "joints", name], fields, comment] for name, fields in joints.items()]


def _tools(machine: Machine, joints: dict[str, dict[str, Any]]) -> list[Edit]:
    """Tools that were named and the file does not have; the joints get their keys."""
    edits: dict[str, Edit] = {}
    for fields in joints.values():
        if label := fields.get("tool"):
            fields["tool"] = key = key_of(label)
            if key not in machine.tools:
                entry = {"label": label_of(label), "drive": "none"}
                edits[key] = ["add", ["tools", key], entry, None]
    return list(edits.values())


def _part(find: Find, name: str, joints: dict[str, Any], on: date) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    if name.replace("-", " ") != find.what.strip():
        fields["label"] = find.what.strip()
    if find.position is not None:
        fields["from"] = find.position
    for relation, word in found_words():
        if word.own and (others := find.said.get(word.word)):
            fields[relation.key] = list(others)
    if find.seconds is not None:
        parse_seconds(find.seconds)
        fields["time"] = find.seconds
    if find.state != "off":
        fields[find.state] = {"joints": list(joints)} if joints else "yes"
    if note := find.note.strip():
        fields["note"] = note
    fields["found"] = on.isoformat()
    if joints:
        fields["joints"] = joints
    return fields


def _joints(machine: Machine, find: Find, on: date) -> dict[str, dict[str, Any]]:
    """The joints of ``--held``, named by their kind."""
    taken = set(machine.parts[find.on].joints) if find.on else set()
    found_joints: dict[str, dict[str, Any]] = {}
    for text in find.held:
        fields = held(text)
        if find.on is not None:
            fields |= {"found": on.isoformat()}
            if find.position is not None and find.position != machine.parts[find.on].position:
                fields |= {"from": find.position}
            if find.what.strip() and len(find.held) == 1:
                name = free_name(_slug(find.what), taken)
                found_joints[name] = fields
                taken.add(name)
                continue
        base = fields["kind"] + ("s" if fields.get("count", 1) > 1 else "")
        name = free_name(base.replace(" ", "-"), taken)
        found_joints[name] = fields
        taken.add(name)
    return found_joints


def held(text: str) -> dict[str, Any]:
    """A joint's kind, head, count and torque: ``bolt 10 x2``, ``nut 13 M8 22 N.m``, ``connector``.

    Raises:
        RefusedError: There is no kind in it, or a word that is none of these.
    """
    try:
        joint, besides = read_joint(text)
    except AnswerError as fault:
        raise RefusedError(fault.problem, fault.remedy) from fault
    if joint.kind is None:
        raise RefusedError(
            f"{text!r} does not say what kind of fastener it is", 'write it like this: "bolt 10 x2"'
        )
    if joint.count is None or (joint.family and joint.head is None):
        asked = joint.counting.text if joint.counting else f"which size of {joint.family}?"
        raise RefusedError(f"{text!r} leaves open: {asked}", 'write it like this: "bolt 10 x2", "screw PH2"')
    if joint.position is not None:
        besides = f"{besides} from {joint.position}".strip()
    if besides and joint.head is None and not joint.hand:
        raise RefusedError(*no_tool(besides))
    if besides:
        raise RefusedError(
            f"{text!r} also says {besides!r}, which is no kind, head, count, thread or torque",
            'write it like this: "bolt 10 x2"',
        )
    head = "hand" if joint.hand else joint.head
    fields = {
        "kind": joint.kind,
        "head": int(head) if head and head.isdecimal() else head,
        "count": joint.count if joint.count > 1 else None,
        "thread": joint.thread,
        "class": joint.property_class,
        "torque": joint.torque,
        "tool": joint.tool,
    }
    return {key: value for key, value in fields.items() if value is not None}


def _with_keys(machine: Machine, find: Find) -> Find:
    """The find with what it names by the file's keys."""
    return replace(
        find,
        on=_known(machine, find.on, joints=False) if find.on else find.on,
        said={
            word.word: tuple(_known(machine, name, joints=word.joints) for name in find.said[word.word])
            for _, word in found_words()
            if word.word in find.said
        },
        position=position_called(machine, find.position) if find.position is not None else None,
    )


def _known(machine: Machine, name: str, *, joints: bool) -> str:
    if joints and (
        Subject(name).of_joint or (len(meant_parts(machine, name)) != 1 and meant_joints(machine, name))
    ):
        return joint_called(machine, name).path
    return part_called(machine, name)


def _unknown(what: str, name: str, known: Iterable[str]) -> SequencerError:
    names = list(known)
    near = nearest(name, names)
    shown = ", ".join(names[:12])
    return RefusedError(
        f"there is no {what} {name!r}", f"did you mean {near}?" if near else f"there are {shown}"
    )


def _free_name(machine: Machine, words: str) -> str:
    slug = _slug(words)
    if not slug:
        raise RefusedError(
            "what was found has no name",
            'say it in a few words: found "upper radiator stay"',
            code="no-name",
        )
    return free_name(slug, {*machine.parts, *machine.tasks, *machine.fluids})


def free_name(name: str, taken: Iterable[str]) -> str:
    """``name``, or with the first number behind it that makes it one that is not taken."""
    gone = set(taken)
    number = 2
    found_name = name
    while found_name in gone:
        found_name, number = f"{name}-{number}", number + 1
    return found_name


def _slug(words: str) -> str:
    return re.sub(r"[^\w]+", "-", words.strip().casefold()).strip("-_")[:60]


Ask = Callable[[str, str], str]
"""Asks a person: the question, and an example of an answer; an empty answer is none."""


def asked(ask: Ask) -> Find:
    """What was found, step by step."""
    what = ask("What did you find", "upper radiator stay")
    words = [word for _, word in found_words()]
    said = {word.word: _listed(ask(word.ask, word.like)) for word in words if not word.own}
    held = _listed(ask("What holds it", "bolt 10 x2, connector"))
    said |= {word.word: _listed(ask(word.ask, word.like)) for word in words if word.own}
    return Find(what, said, held, position=ask("Where do you stand for it", "left").strip() or None)


def _listed(text: str) -> tuple[str, ...]:
    return tuple(piece.strip() for piece in text.split(",") if piece.strip())
