"""The acts of a line, one after another, into the story."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.reports.leftover import likeliest
from sequencer.job.told import order, things
from sequencer.job.told.joints import made_left_handed
from sequencer.job.told.keyed import keys_told, without_keys
from sequencer.job.told.parts import copy_torques, noted, part_told, template
from sequencer.job.told.putting_back import put_back, reading_told
from sequencer.job.told.story import Story
from sequencer.job.told_words import holds, words
from sequencer.machine.called import part_spoken_of
from sequencer.machine.model import Subject
from sequencer.spoken.readback import said_back_one
from sequencer.spoken.values import Act, Did, Heard, Line, Name, Said, Same

_SWAPPED = {
    "left": "right",
    "right": "left",
    "front": "rear",
    "rear": "front",
    "upper": "lower",
    "lower": "upper",
}
_OTHER = ("other", "opposite")
_APART = (Act.OFF, Act.ASIDE, Act.LOOSE, Act.UNPLUGGED, Act.UNDONE, Act.DRAINED)


@dataclass
class LineProgress:
    """How far a line has been told: the part that it was about last, and the act."""

    part: str | None
    did: Did | None = None


def tell(story: Story, line: Line, last: str | None) -> LineProgress:
    """All that a line says.

    Args:
        story: Gets the changes, ticks and notes.
        line: The reading.
        last: The part that was told of last.
    """
    told = LineProgress(last)
    about = None
    for one in _held_first(line.said):
        did = same_as(story, one, told.part) if isinstance(one, Same) else one
        if not isinstance(did, Did):
            continue
        did = order.only_a_way(story, did, told.part)
        did = replace(did, remarks=tuple(one for one in did.remarks if not _idle(one.text)))
        try:
            with story.attempt():
                part = _one(story, did, told.part)
        except SequencerError:
            part = _bare(story, did, told.part)
        if part is not None:
            if isinstance(one, Same):
                copy_torques(story, _like(story, one, told.part), part)
            told.part = about = part
            if did.act.value is not Act.TORQUE:
                did = replace(did, part=Name(story.labels()[part], part))
        story.kept.back.append(said_back_one(did))
        told.did = did
    _notes(story, line.notes, about if line.said else last)
    return told


def _held_first(said: Iterable[Said]) -> list[Said]:
    """What was said, with all that carries or locks before the acts that were done under it."""
    return sorted(said, key=lambda one: not (isinstance(one, Did) and _holds(one)))


def _holds(did: Did) -> bool:
    task = did.act.value is Act.TASK and did.before is None
    return task and holds(did.text)


def _bare(story: Story, did: Did, last: str | None) -> str | None:
    """An act that the file does not take as it was told: without its joints, and all of it as a note."""
    words = said_back_one(did)
    plain = Did(did.act, did.part, before=did.before)
    if did.act.value is Act.TORQUE:
        story.note(words)  # without its figure nothing is left of it
        return None
    try:
        with story.attempt():
            part = _one(story, plain, last)
            if part is not None:
                noted(story, part, words)
            else:
                story.note(words)
    except SequencerError:
        story.note(words)
        return None
    return part


def _idle(text: str) -> bool:
    """Words that are left of a line and say nothing."""
    return text.strip(" .").casefold() in words()["said_of_nothing"]


def _notes(story: Story, notes: Iterable[str], part: str | None) -> None:
    for text in notes:
        if _idle(text):
            continue
        story.kept.back.append(f"Note: {text}.")
        if (about := part_spoken_of(story.machine, text) or part) is not None:
            if not made_left_handed(story, about, text):
                noted(story, about, text)
        else:
            story.note(text)


def _one(story: Story, did: Did, last: str | None) -> str | None:
    """One act; the part that it was about."""
    act = did.act.value
    if act is Act.LEFT_OVER:
        story.note(said_back_one(did))
        story.kept.words += likeliest(story.moment, did.joints)
        return None
    if act is Act.TORQUE:
        return _figure(story, did)
    if act is Act.BACK or (story.moment.state.turned and act in (*_APART, Act.TASK)):
        return put_back(story, did)
    return _apart(story, did, last)


def _apart(story: Story, did: Did, last: str | None) -> str | None:
    """An act of the way in: what it did, and its place in the order."""
    act = did.act.value
    before = order.goes_before(story, did, last)
    if act is Act.DRAINED:
        order.put_in(story, [things.drained(story, did)], before)
        story.ahead = ""
        return None
    if act is Act.TASK or things.isolates(did):
        done = things.task if act is Act.TASK else things.isolated
        order.put_in(story, [done(story, did)], before)
        story.ahead = ""
        return None
    ticked, joints = len(story.kept.ticks), len(story.kept.joints)
    did, keys = without_keys(story, did, last)
    part = last if keys and did.part is None and not did.joints else part_told(story, did, last)
    keyed = keys_told(story, part, keys) if part is not None else []
    if part is not None and len(story.kept.joints) > joints:
        if did.figure is not None:
            things.figured(story, story.kept.joints[joints:], did.figure)
        things.told_before(story, part)
    if part is None:
        story.note(said_back_one(did))
    elif len(story.kept.ticks) > ticked:
        wet = [one.op.subject for one in story.kept.ticks[ticked:] if one.op.kind is Kind.DRAIN]
        if act is Act.OFF:
            things.torqued_on_the_ground(story, part)
        items = order.items_of(did, part, story.kept.joints[joints:])
        order.put_in(story, [*wet, *items, *keyed], before)
        order.ways_told(story, part, did, items)
    elif did.way_of:
        order.ways_told(story, part, did, order.items_there(story, part))
    story.ahead = ""
    return part


def _figure(story: Story, did: Did) -> str | None:
    """A torque that was told: the figure of its joints, but what was pulled at a gate is no figure."""
    if story.moment.state.turned and (known := things.pulled(story, did)):
        story.note(said_back_one(did))
        story.kept.words.append(reading_told(story, known))
        return known[0].part
    found = things.figure(story, did)
    if not found:
        story.note(said_back_one(did))
        story.kept.unplaced.append(said_back_one(did))
        story.kept.words.append("kept as a note: it is not clear which joint that torque is for")
        return None
    story.kept.joints += found
    return Subject(found[0]).part


def same_as(story: Story, same: Same, last: str | None) -> Did | None:
    """What is the same as another part, as an act of its own; None where nothing was told before."""
    like = _like(story, same, last)
    if like is None:
        story.note(same.words)
        return None
    name = same.part or Name(_other_label(story, like, same.side))
    if same.part is not None and same.side and same.side not in same.part.label.casefold():
        name = replace(name, label=f"{same.part.label}, {_side(same.side)}", key=None)
    return Did(Heard(_act_of(story, like), same.words), name, template(story, like))


def _like(story: Story, same: Same, last: str | None) -> str | None:
    """The part that it is the same as; None where none is known."""
    like = (same.like.key if same.like is not None else None) or last
    return like if like in story.machine.parts else None


def _act_of(story: Story, part: str) -> Act:
    """How far a part was brought."""
    states = ((Kind.REMOVE, Act.OFF), (Kind.MOVE_ASIDE, Act.ASIDE), (Kind.LOOSEN, Act.LOOSE))
    return next((act for kind, act in states if story.is_done(kind.of(part))), Act.UNDONE)


def _side(side: str) -> str:
    return f"{side} side" if side in (*_OTHER, "far", "near", "driver", "passenger") else side


def _other_label(story: Story, part: str, side: str) -> str:
    """What the same elsewhere is called: ``Right headlamp``, ``Shroud, other side``, ``Bracket 2``."""
    label = story.labels()[part]
    for word, other in _SWAPPED.items():
        found = re.search(rf"\b{word}\b", label, re.IGNORECASE)
        if found and (side in _OTHER or side == other):
            return f"{label[: found.start()]}{other}{label[found.end() :]}"
    if side:
        return f"{label}, {_side(side)}"
    stem = re.sub(r" \d+$", "", label)
    number = 2
    while f"{stem} {number}".casefold() in {one.casefold() for one in story.labels().values()}:
        number += 1
    return f"{stem} {number}"
