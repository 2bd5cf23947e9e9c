"""Torque figures that are told in the middle of a job: for a joint, a part, all of one thread and class."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sequencer.errors import SequencerError
from sequencer.graph.kept_things import unexplained
from sequencer.graph.operations import Op
from sequencer.job.changes.finds import put_into
from sequencer.job.changes.replanning import add_new_plan
from sequencer.job.journal.edits import EDITS, Edit, MachineFile, changed, owner_path
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError, refused
from sequencer.job.now.gates import gate_of
from sequencer.job.now.moment import Moment, Sight
from sequencer.job.told_words import holds, raises
from sequencer.job.work.figure_words import Figure, with_source
from sequencer.machine.called import (
    joint_called,
    joints_in,
    meant_joints,
    meant_parts,
    part_called,
    thing_called,
    words_of,
)
from sequencer.machine.figures import wants_figure
from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.joint import joints_in as joints_said
from sequencer.machine.heard.tokens import Words, tokens_of
from sequencer.machine.model import PLUG, Joint, Machine
from sequencer.machine.reader.merge import in_full
from sequencer.plan.resume import RESHUFFLE_SECONDS
from sequencer.quantities import parse_torque
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.stripping import material_of
from sequencer.torque.fasteners.threads import parse_thread

if TYPE_CHECKING:
    from sequencer.machine.edit import Editor

_ALL = re.compile(r"^(?:for )?(?:all|every|each|any)\b(?: of)?(?: the)?\s*(?P<rest>.*)$", re.IGNORECASE)
_IN = re.compile(r"\b(?:in|into)\s+(?P<what>[\w -]+?)$", re.IGNORECASE)
_OF = re.compile(r"\b(?:of|on|from)\s+(?:the\s+)?(?P<part>[^,]+?)$", re.IGNORECASE)


@dataclass(frozen=True)
class Chosen:
    """The joints that a name means.

    Attributes:
        named: The joint was named by itself: what the file says of it is replaced.
        left: Joints that are like it, and of which the file does not say enough.
        why: What it does not say of them.
    """

    joints: tuple[Joint, ...]
    named: bool
    left: tuple[Joint, ...] = ()
    why: str = ""

    @property
    def kept(self) -> tuple[Joint, ...]:
        """Those of several that are alike which keep the figure that they have."""
        return (
            () if self.named else tuple(j for j in self.joints if (j.torque and j.torque.stages) or j.by_hand)
        )

    @property
    def due(self) -> tuple[Joint, ...]:
        """Those that get the figure."""
        return tuple(joint for joint in self.joints if joint not in self.kept)

    @property
    def words(self) -> list[str]:
        """What is said of those that do not get it."""
        kept = [f"as it was, with a figure of its own: {_paths(self.kept)}"] if self.kept else []
        return kept + ([f"left as they are, {self.why}: {_paths(self.left)}"] if self.left else [])


def figure(
    names: Sequence[str], told: Figure, file: MachineFile, reshuffle: Fraction = RESHUFFLE_SECONDS
) -> Act:
    """Write a torque for the joints in ``names`` into the job's ``file``, and plan the rest anew.

    The file's own rules judge it, the strength guard among them: what is refused is nowhere written.
    """

    def act(moment: Moment, _by: By) -> Draft:
        machine = moment.machine
        due = replace(with_source(told), when=tuple(thing_called(machine, name) for name in told.when))
        joints, words = _of_them(moment, [meant(machine, name) for name in names])
        draft = Draft()
        sight = write_figure(draft, file, joints, due, _held_for(machine, joints, due.when))
        draft.words += words
        add_new_plan(draft, moment, draft.words[0], sight=sight, reshuffle=reshuffle)
        return draft

    return act


def drags(gate: str, torque: str, file: MachineFile) -> Act:
    """Write down what the nuts of a gate's joint take to turn, as it was read.

    Raises:
        QuantityError: It is no torque.
    """
    return figure([str(Op(gate).gate)], Figure(prevailing=parse_torque(torque)), file)


def write_figure(
    draft: Draft, file: MachineFile, joints: Sequence[Joint], told: Figure, besides: Sequence[Edit] = ()
) -> Sight:
    """Write a figure for joints into the job's file, by an event of ``draft``; the machine as it is then.

    ``besides`` is what follows from it elsewhere in the file.

    Raises:
        RefusedError: The file says so already, or has part of it where this does not reach.
        MachineFileError: The file does not take it: the strength guard, for one, refuses it.
    """
    editor = changed(file, ())
    edits = [edit for joint in joints for edit in _edits_of(editor, joint, told)]
    if not edits:
        raise RefusedError("the file says this already", "see the step")
    before = len(draft.words)
    edits += besides
    sight, text = put_into(draft, file, edits)
    source = f" ({told.source})" if told.source else ""
    what = f"{_paths(joints)}: torque {told.text}{source}"
    body = {
        "what": what,
        EDITS: [list(edit) for edit in edits],
        "text": text,
        FIGURE: told.text,
        "joints": [joint.path for joint in joints],
    }
    draft.add(EventKind.CORRECTED, body)
    draft.words[before:before] = [what, *_remarks(sight.machine, joints)]
    return sight


FIGURE = "figure"
"""The key of a correction that is a torque figure; its ``joints`` have it."""


def meant(machine: Machine, name: str) -> Chosen:
    """The joints that a name means: a joint, ``all of the cover``, ``all M6 8.8 in aluminium``.

    Raises:
        SequencerError: None is like that, or it may be several.
    """
    whole = _ALL.match(name.strip())
    if whole is None:
        return Chosen((_one(machine, name),), named=True)
    rest = whole["rest"].strip()
    if len(parts := meant_parts(machine, rest)) == 1:
        own = tuple(joint for joint in machine.parts[parts[0]].joints.values() if wants_figure(joint))
        if not own:
            raise RefusedError(
                f"nothing on {parts[0]} normally takes a torque",
                "name the joint: "
                + (", ".join(j.path for j in machine.parts[parts[0]].joints.values()) or "it has none"),
            )
        return Chosen(own, named=False)
    return _alike(machine, rest)


def _one(machine: Machine, name: str) -> Joint:
    """The joint of a name; of a part the one that normally takes a torque."""
    parts = meant_parts(machine, name)
    if len(parts) == 1 and name.strip() not in joints_in(machine):
        own = [joint for joint in machine.parts[parts[0]].joints.values() if wants_figure(joint)]
        if len(own) == 1:
            return own[0]
        if own:
            raise RefusedError(
                f"{name.strip()!r} has several joints that take a torque",
                f'say "all of {name.strip()}", or which: {", ".join(joint.path for joint in own)}',
                code="which",
            )
    found = meant_joints(machine, name)
    if not found and len(plugs := _plugs(machine, name)) == 1:
        return plugs[0]
    if not found:
        with suppress(SequencerError):
            found = tuple(joint.path for joint in _alike(machine, name).joints)
    try:
        return joint_called(machine, found[0] if len(found) == 1 else name)
    except SequencerError as fault:
        if len(found) < 2:
            raise refused(fault) from None
        raise RefusedError(
            f"{name.strip()!r} may be several joints: {', '.join(found)}",
            f'say which; or "all {name.strip()}" for every one of them',
            code="which",
        ) from None


def _plugs(machine: Machine, name: str) -> list[Joint]:
    """The plugs of drains that a name may mean: ``oil drain plug``, ``oil/plug``."""
    asked, plugs = words_of(name), [one.plug for one in machine.fluids.values() if one.plug]
    if PLUG not in asked:
        return []
    return [
        one
        for one in plugs
        if asked <= words_of(f"{one.part} {machine.fluids[one.part].label or ''} drain sump {PLUG}")
    ]


def _alike(machine: Machine, words: str) -> Chosen:
    """All joints of a kind, head, thread and class, in a material, on a part."""
    rest, material, part = words, None, None
    if (match := _IN.search(rest)) and (material := _material(match["what"])):
        rest = rest[: match.start()]
    if match := _OF.search(rest):
        part, rest = part_called(machine, match["part"]), rest[: match.start()]
    said = Words(tokens_of(rest))
    found = joints_said(said)
    one = found[0] if len(found) == 1 else None
    if one is None or not (one.thread or one.head or one.property_class):
        raise RefusedError(
            f"{words!r} is no part of the machine, and no thread, class or head",
            'say it like this: "all of the cover", "all M6 8.8", "all M6 8.8 in aluminium"',
        )
    pool = [joint for joint in joints_in(machine).values() if part is None or joint.part == part]
    like = [joint for joint in pool if _fits(joint, one)]
    like = [joint for joint in like if one.counted and joint.count == one.count] or like
    unsaid = [joint for joint in pool if joint not in like and _fits(joint, one, unsaid=True)]
    why = "class" if one.property_class else "thread"
    if material is not None and any(joint.engaged_in for joint in like):
        within = [joint for joint in like if joint.engaged_in and _material(joint.engaged_in) == material]
        unsaid, why = [joint for joint in like if not joint.engaged_in], "material"
        like = within
    if not like:
        raise RefusedError(
            f"the file knows no joint that is {words}", _known_sizes(pool) or "name the joints one by one"
        )
    return Chosen(tuple(like), named=False, left=tuple(unsaid), why=f"of which the file says no {why}")


def _fits(joint: Joint, one: JointSaid, *, unsaid: bool = False) -> bool:
    """Whether a joint is as was said; ``unsaid``: what the file does not say may be so."""
    pairs = (
        (one.thread, joint.thread, _thread),
        (one.property_class, joint.property_class, str.casefold),
        (one.head, joint.head, str.casefold),
        (one.kind, joint.kind, str.casefold),
    )
    if unsaid and not wants_figure(joint):
        return False
    if unsaid and not any(asked and there for asked, there, _ in pairs[:3]):
        return False
    return all(
        (unsaid and not there) or (there and read(there) == read(asked))
        for asked, there, read in pairs
        if asked
    )


def _thread(text: str) -> str:
    try:
        return parse_thread(text).name
    except FastenerError:
        return text.casefold()


def _material(words: str) -> str | None:
    try:
        return material_of(words).name
    except FastenerError:
        return None


def _known_sizes(joints: Iterable[Joint]) -> str:
    sizes = dict.fromkeys(
        " ".join(filter(None, (joint.thread, joint.property_class))) for joint in joints if joint.thread
    )
    return f"there are {', '.join(list(sizes)[:8])}" if sizes else ""


def _of_them(moment: Moment, chosen: Sequence[Chosen]) -> tuple[list[Joint], list[str]]:
    """The joints that get the figure, and what to say of those that keep what they have."""
    found: dict[str, Joint] = {}
    words: list[str] = []
    for one in chosen:
        for joint in one.due:
            _not_at_its_torque(moment, joint)
            found[joint.path] = joint
        words += one.words
    if not found:
        raise RefusedError("; ".join(words), "name a joint by itself to give it another figure")
    return list(found.values()), words


def _not_at_its_torque(moment: Moment, joint: Joint) -> None:
    gate = gate_of(moment.machine, joint.path)
    if gate in moment.present.back and joint.torque and joint.torque.stages:
        raise RefusedError(
            f"{joint.path} is at its torque by what the file says now",
            f"take that back first: undo {moment.state.number(gate) or gate}",
            code="rests-on-it",
        )


def written_at(joint: Joint, value: Callable[[tuple[str, ...]], object]) -> list[str]:
    """Where the file has a joint, or the plug of a fluid's drain; ``value`` looks up what stands there."""
    drain = ("fluids", joint.part, "drain", PLUG)
    is_plug = joint.name == PLUG and value(drain) is not None
    return [*drain] if is_plug else owner_path(joint.path)


def _edits_of(editor: Editor, joint: Joint, told: Figure) -> list[Edit]:
    """What writes the figure at one joint; what else stands under its ``torque`` stays."""
    where = written_at(joint, editor.value)
    path: list[Any] = [*where, "torque"]
    former = editor.value(tuple(path))
    fields = dict(told.fields)
    beside = [key for key in ("stages", "override") if editor.value((*where, key)) is not None]
    if beside:
        raise RefusedError(
            f"{joint.path} has `{beside[0]}` beside its torque", "put it right in the machine file itself"
        )
    edits: list[Edit] = []
    own = editor.value((*where, "source"))
    if own is not None and (source := fields.pop("source", None)) and source != own:
        edits.append(["set", [*where, "source"], source, own])
    if not told.stages and told.prevailing is not None:  # of a figure that stays as it is
        fields.pop("source", None)
        kept = in_full("torque", former)
        fields = (kept if isinstance(kept, dict) else {}) | fields
    elif isinstance(former, dict):
        fields = {k: v for k, v in former.items() if k not in _REPLACED} | fields
    new: object = fields["value"] if list(fields) == ["value"] else fields
    return edits if new == former else [["set", path, new, former], *edits]


def _held_for(machine: Machine, joints: Sequence[Joint], when: Sequence[str]) -> list[Edit]:
    """Frees a prop, a lock that a torque waits for from what came off between it and the joint.

    Who gives a torque once the prop is away says what the prop was for (common practice): what came off in
    between did not need it, and is back only after the torque as for any other. A machine that was raised is
    another matter: all that came after may have needed that.
    """
    order = machine.taken_apart.order
    place = {(told.section, told.atom.part): number for number, told in reversed([*enumerate(order)])}
    parts = [place[own] for joint in joints if (own := ("parts", joint.part)) in place]
    kept = unexplained(machine)
    edits: list[Edit] = []
    for task in (machine.tasks[name] for name in when if name in machine.tasks):
        label = task.label or task.name
        first = place.get(("tasks", task.name))
        if first is None or not parts or raises(label) or not holds(label):
            continue
        between = [order[n] for n in range(first + 1, min(parts)) if (first, n) in kept]
        if between:
            free = {"first": [task.name], "then": [told.written for told in between]}
            source = f"the torque of {_paths(joints)} waits for it"
            edits.append(["entry", ["taken_apart", "free"], {**free, "source": source}, None])
    return edits


_REPLACED = frozenset({"value", "stages", "source", "override", "by_hand"})


def _remarks(machine: Machine, joints: Iterable[Joint]) -> list[str]:
    """What the strength guard finds odd, once for those of which it says the same."""
    found: dict[str, list[Joint]] = {}
    for one in joints:
        joint = machine.joint(one.part, one.name)
        if joint.judgement.remark:
            found.setdefault(joint.judgement.remark, []).append(joint)
    return [f"{remark}: {_paths(joints)}" for remark, joints in found.items()]


def _paths(joints: Iterable[Joint]) -> str:
    return ", ".join(joint.path for joint in joints)
