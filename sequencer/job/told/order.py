"""The order in which it came apart, and what was in the way of what."""

from __future__ import annotations

from dataclasses import replace

from sequencer.errors import SequencerError
from sequencer.graph import derive
from sequencer.graph.operations import Kind, Op
from sequencer.graph.reach import possible
from sequencer.job.now.acts import RefusedError
from sequencer.job.told.catching_up import catch_up, has_an_order
from sequencer.job.told.last import last_told
from sequencer.job.told.parts import noted, part_named
from sequencer.job.told.story import ORDER, Item, Story, about
from sequencer.machine.called import meant_joints
from sequencer.machine.model import Subject
from sequencer.machine.trade.relations import OFF, UNDO, barring
from sequencer.spoken.values import Act, Did, Heard, Name, ToldReason
from sequencer.wording import small

GUESSED = ("taken_apart", "guessed")


def items_of(did: Did, part: str, joints: list[str]) -> list[Item]:
    """What an act on a part puts into the order; ``joints`` are the paths of those that were told of."""
    match did.act.value:
        case Act.OFF:
            return [part]
        case Act.ASIDE:
            return [{part: "aside"}]
        case Act.LOOSE:
            return [{part: "loose"}]
        case _:
            return list(joints)


def put_in(story: Story, items: list[Item], before: Item | None) -> None:
    """What was told now goes to the end of the order, or before what it came before."""
    if not has_an_order(story):
        return
    if before is None:
        catch_up(story, items)
    there = story.value(*ORDER) or []
    for item in items:
        if item in there:
            continue
        if before is not None and before in there:
            story.before(ORDER, item, before)
        else:
            story.entry(ORDER, item)
        if story.late:
            story.entry(GUESSED, item)


def goes_before(story: Story, did: Did, last: str | None) -> Item | None:
    """What an act that is told late came before; the story is told so."""
    there: list[Item] = story.value(*ORDER) or []
    if did.before is None and not story.late and story.following in there:
        story.ahead = story.first_of(about(story.following))
        return story.following
    name = did.before.part if did.before is not None else None
    if did.before is not None and name is None and (found := _last_readied(story, there)) is not None:
        return found
    part = last if did.before is not None and name is None else _key(story, name)
    if part is None and story.late:
        part = next((key for one in did.way_of if isinstance(one, Name) and (key := _key(story, one))), None)
    found = next((one for one in there if about(one) == part), None)
    if found is None and story.late:
        guessed = story.value(*GUESSED) or []
        found = next((one for one in there if one not in guessed), None)
    if found is not None:
        story.ahead = story.first_of(about(found))
    return found


def _last_readied(story: Story, there: list[Item]) -> Item | None:
    """What was drained or set up, where the last act was that and nothing on a part; the story is told so."""
    last = last_told(story.moment, story.person)
    ops = [one.op for one in story.kept.ticks] or list(map(Op, last.ops(story.moment) if last else ()))
    if not ops or any(op.kind not in (Kind.DRAIN, Kind.TASK) for op in ops):
        return None
    found = next((one for one in there if about(one) == ops[0].subject), None)
    if found is not None:
        story.ahead = ops[0]
    return found


def _key(story: Story, name: Name | None) -> str | None:
    return name.key if name is not None and name.key in story.machine.parts else None


def items_there(story: Story, part: str) -> list[Item]:
    """What the order has of a part already."""
    return [one for one in story.value(*ORDER) or [] if about(one) == part]


def only_a_way(story: Story, did: Did, last: str | None) -> Did:
    """The act; no act at all where it only says what a part, of which all is told, was in the way of."""
    part = last if did.part is None else _key(story, did.part)
    told = part is not None and items_there(story, part)
    if told and did.way_of and not did.act.said and not did.joints:
        return replace(did, act=Heard(Act.NOTE))
    return did


def ways_told(story: Story, part: str, did: Did, items: list[Item]) -> None:
    """What it was in the way of: a relation of the file.

    That is known of these two now. It may have been in the way of others too, which nobody asked about.
    """
    for one in did.way_of:
        if isinstance(one, ToldReason):
            continue
        way_told(story, part, one, items)


def way_told(story: Story, part: str, name: Name, items: list[Item]) -> None:
    """One thing that a part was in the way of; a note where that can't be, as things came apart."""
    try:
        with story.attempt():
            if not items:
                raise RefusedError(f"nothing is told of {part}")
            path, where = _place_of(story, part, name)
            for item in items:
                if item not in (story.value(*where) or []):
                    story.entry(where, item)
            verb = Kind.UNDO if Subject(path).of_joint else Kind.REMOVE
            if verb.of(path) not in possible(derive(story.machine).needs):
                raise RefusedError(f"{path} is in the way of {part}")
    except SequencerError:
        noted(story, part, f"It was in the way of the {name.label}")
        label = small(story.labels()[part])
        story.kept.words.append(f"kept as a note: the {label} was in the way of the {small(name.label)}")


def _place_of(story: Story, part: str, name: Name) -> tuple[str, tuple[str, ...]]:
    """What a part was in the way of, and the list in the file that says so.

    Raises:
        RefusedError: It is the part itself, or came off before it.
    """
    joints = () if name.key else meant_joints(story.machine, name.label)
    path = joints[0] if len(joints) == 1 else part_named(story, name)
    other, joint = Subject(path).part, Subject(path).joint
    begun = story.first_of(other)
    if other == part or (begun and begun != story.ahead and (story.is_off(other) or joint)):
        raise RefusedError(f"{other} came off before {part}")
    if joint:
        return path, ("parts", other, "joints", joint, barring(UNDO).key)
    return path, ("parts", other, barring(OFF if begun and begun != story.ahead else UNDO).key)
