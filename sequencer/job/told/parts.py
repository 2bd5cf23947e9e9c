"""What was done to a part, as it was told: its joints and state in the file, and the ticks."""

from __future__ import annotations

import re

from sequencer.graph.operations import Kind
from sequencer.job.told import things
from sequencer.job.told.joints import joint_told, left_handed, unsure
from sequencer.job.told.story import Story
from sequencer.job.told_words import words
from sequencer.machine.called import part_spoken_of
from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.model import Joint, Part
from sequencer.machine.survey.short_lines import key_of, label_of, unused
from sequencer.machine.trade.kinds import Holds, kind_of_joint
from sequencer.machine.trade.relations import UNDO, barring
from sequencer.spoken.details import lifts
from sequencer.spoken.values import Act, Care, Did, Name, Remark
from sequencer.wording import clause, joined

_STATE = {Act.ASIDE: "aside", Act.LOOSE: "loose"}
_MOVES = {Act.OFF: Kind.REMOVE, Act.ASIDE: Kind.MOVE_ASIDE, Act.LOOSE: Kind.LOOSEN}
_ALONE = (Act.UNPLUGGED, Act.UNDONE)


def part_named(story: Story, name: Name) -> str:
    """The key of a part that was named; it is put into the file, not yet off, if it is new."""
    if name.key is not None and name.key in story.machine.parts:
        return name.key
    key = key_of(name.label) or "part"
    same = [one for one, label in story.labels().items() if key_of(label) == key]
    if same and not name.near:
        return same[0]
    machine = story.machine
    key = unused(key, {*machine.parts, *machine.tasks, *machine.fluids})
    story.add(("parts", key), {"label": label_of(name.label), "unsure": ["joints"]})
    story.kept.new.append(key)
    return key


def _meant(story: Story, did: Did) -> str | None:
    """The part that a remark by itself is about, where it says so."""
    found = {part_spoken_of(story.machine, one.text) for one in did.remarks} - {None}
    return found.pop() if len(found) == 1 else None


def part_told(story: Story, did: Did, last: str | None) -> str | None:
    """What was done to a part; its key, None where nobody said which and nothing was told before.

    Args:
        story: Gets the changes and ticks.
        did: The act.
        last: The part that was told of last: it is meant where none is named.
    """
    if did.part is None and last is None and not (did.act.value is Act.NOTE and _meant(story, did)):
        return None
    alone = did.part is None and did.act.value is Act.NOTE
    part = (_meant(story, did) if alone else None) or (
        last if did.part is None else part_named(story, did.part)
    )
    assert part is not None
    story.kept.parts.append(part)
    again = did.part is None and not did.act.said
    did = left_handed(story, part, did)
    _facts(story, part, did)
    if did.act.value is Act.NOTE:
        _placed(story, part, did, [])
        return part
    was_off = story.is_off(part)
    told = _joints(story, part, did)
    _placed(story, part, did, told)
    if was_off and (again or told):
        if not _late_joints(story, part, told):
            story.kept.words.append(f"{_label(story, part)} was told already")
        return part
    act = did.act.value
    if act in _STATE:
        told = _state(story, part, _STATE[act], told)
    for one in did.remarks:
        if one.care is Care.TIE and act is Act.ASIDE:
            story.set(("parts", part, "tie"), label_of(one.text))
    if act is Act.OFF:
        told = list(story.machine.parts[part].joints)
        if not told and re.search(words()["by_itself"], did.act.words.casefold()):
            unsure(story, ("parts", part), [])
    verb = Kind.SLACKEN if act is Act.LOOSE else Kind.UNDO
    ticked = [story.tick(verb.of(part, joint)) for joint in told]
    if act in _MOVES:
        ticked.append(story.tick(_MOVES[act].of(part)))
    if not any(ticked):
        story.kept.words.append(f"{_label(story, part)} was told already")
    return part


def _late_joints(story: Story, part: str, told: list[str]) -> bool:
    """More joints of a part that is off, undone before it came off; whether there were any."""
    former, story.ahead = story.ahead, Kind.REMOVE.of(part)
    ticked = [story.tick(Kind.UNDO.of(part, joint)) for joint in told]
    story.ahead = former
    return any(ticked)


def _joints(story: Story, part: str, did: Did) -> list[str]:
    """The joints that were told of, by their names."""
    said = list(did.joints)
    if did.tool is not None:
        said = _with_tool(story, part, did, said)
    known = story.machine.parts[part]
    if not said and did.act.value in _ALONE:
        if known.joints:
            return list(known.joints)
        kind = "connector" if did.act.value is Act.UNPLUGGED else None
        said = [JointSaid(kind=kind, word=kind or "", count=1)]
    found: list[str] = []
    for one in said:
        name = _told_before(story, part, did, one) or joint_told(story, part, one, found)
        if name is None:
            if did.act.value is not Act.OFF:
                names = joined(sorted(known.joints), "or")
                story.kept.words.append(f"which {one.words} of {_label(story, part)}, {names}? not ticked")
            continue
        if one.after and found and not story.machine.parts[part].joints[name].waits:
            before = [f"{part}/{other}" for other in found if other != name]
            story.set(("parts", part, "joints", name, barring(UNDO).key), before)
        found.append(name)
        story.kept.joints.append(f"{part}/{name}")
        story.kept.bags += [(f"{part}/{name}", int(bag.text)) for bag in did.remarks if _numbered(bag)]
        _retained(story, part, name)
    if found:
        left = [one for one in story.machine.parts[part].unsure if one != "joints"]
        unsure(story, ("parts", part), left)
    return found


def _retained(story: Story, part: str, name: str) -> None:
    """A nut that was told after its lock tab waits for that: what retains keeps another from coming apart."""
    joints = story.machine.parts[part].joints
    holds = {key: kind.holds if (kind := kind_of_joint(one.kind)) else None for key, one in joints.items()}
    if holds[name] is not Holds.BEARING or joints[name].waits:
        return
    before = [key for key in list(joints)[: list(joints).index(name)] if holds[key] is Holds.RETAINING]
    if before:
        where = ("parts", part, "joints", name, barring(UNDO).key)
        story.set(where, [f"{part}/{key}" for key in before])


def _told_before(story: Story, part: str, did: Did, said: JointSaid) -> str | None:
    """The joint, undone already, of which just this is said once more with its part named."""
    if did.part is None or not story.is_off(part):
        return None
    alike = (
        joint.name
        for joint in story.machine.parts[part].joints.values()
        if (joint.kind, joint.head, joint.count) == (said.kind, said.head, said.count)
    )
    return next(alike, None)


def _with_tool(story: Story, part: str, did: Did, said: list[JointSaid]) -> list[JointSaid]:
    """A tool that belongs to no joint: it undid the part, where nothing else did; else it is a note."""
    assert did.tool is not None
    if lifts(did.tool.value) or said or story.machine.parts[part].joints:
        noted(story, part, f"With the {did.tool.value}")
        return said
    if words()["pulled"] in did.tool.value:
        return [JointSaid(kind="fit", word="press fit", count=1, tool=did.tool.value)]
    return [JointSaid(word="fastener", count=1, tool=did.tool.value)]


def _state(story: Story, part: str, state: str, told: list[str]) -> list[str]:
    """The state that the part went into, written down; the joints that were undone or slackened for it."""
    path = ("parts", part, state)
    known: Part = story.machine.parts[part]
    freedom = known.aside if state == "aside" else known.loose
    if freedom is None:
        story.add(path, {"joints": told} if told else "yes")
        return told
    fresh = [one for one in told if one not in freedom.joints]
    if fresh:
        story.set(path, {"joints": [*freedom.joints, *fresh]})
    return [*freedom.joints, *fresh]


def _placed(story: Story, part: str, did: Did, told: list[str]) -> None:
    """Where it was worked on from: the part, or these joints alone where others were undone elsewhere before.

    As it comes away from another place than those, they keep theirs.
    """
    where, here = things.place(story, did.position), ("parts", part)
    known = story.machine.parts[part]
    if where is None or where == known.position:
        return
    done = (one for one in known.joints if one not in told and story.is_done(Kind.UNDO.of(part, one)))
    others = list(done)
    said = story.value(*here, "from")
    if others and told and did.act.value not in _MOVES:
        for joint in told:
            story.set((*here, "joints", joint, "from"), where)
        return
    for joint in others if said else ():
        if story.value(*here, "joints", joint, "from") is None:
            story.set((*here, "joints", joint, "from"), said)
    story.set((*here, "from"), where)


def _facts(story: Story, part: str, did: Did) -> None:
    """All else that was said of a part."""
    here = ("parts", part)
    if did.weight_kg is not None:
        story.set((*here, "weight"), f"{did.weight_kg.value:g} kg")
    for one in did.remarks:
        match one.care:
            case Care.RENEW:
                story.entry((*here, "renew"), _renewed(one.text, _label(story, part)))
            case Care.TIE if did.act.value is Act.ASIDE:
                pass  # once it is aside
            case Care.BAG if did.joints and _numbered(one):
                pass  # once its joint is known
            case Care.BAG:
                noted(story, part, f"Own bag: {one.text}")
            case _:
                noted(story, part, one.text)
    for spill in did.spills:
        things.spilt(story, part, spill)


def _numbered(remark: Remark) -> bool:
    """Whether it is a bag with a number."""
    return remark.care is Care.BAG and remark.text.isdecimal() and int(remark.text) > 0


def noted(story: Story, part: str, text: str) -> None:
    """One more sentence under the part's note, for both ways."""
    path, words = ("parts", part, "note"), f"{clause(label_of(text))}."
    former = story.value(*path)
    ways = former if isinstance(former, dict) else {"in": former} if former else {}
    said = {way: _sentences(ways.get(way)) for way in ("in", "back")}
    if all(words in one for one in said.values()):
        return
    story.set(path, {way: f"{one} {words}".strip() for way, one in said.items()})


def _sentences(former: object) -> str:
    """What a note says on one way, as one text."""
    return " ".join(map(str, former)) if isinstance(former, list) else str(former or "")


def _renewed(text: str, part: str) -> str | dict[str, object]:
    """What has to be renewed, without what was wrong with it: ``gasket`` of ``gasket torn, needs new``.

    It is the part itself where no other thing is named: ``new one``.
    """
    item = re.sub(r"\W*\bplease\b\W*", " ", text, flags=re.IGNORECASE).strip()
    wanted, worn = words()["wanted"], words()["worn"]
    item = re.sub(wanted, "", item, flags=re.IGNORECASE).strip(" ,.;")
    number, _, rest = item.partition(" ")
    count = words()["several"].get(number.casefold()) or (int(number) if number.isdecimal() else 0)
    if count and rest:
        item = re.sub(wanted, "", rest, flags=re.IGNORECASE)
    item = re.sub(worn, "", item, flags=re.IGNORECASE).strip(" ,.;")
    itself = re.fullmatch(words()["itself"], item, flags=re.IGNORECASE)
    label = part if itself else label_of(item or text)
    return {"item": label, "count": count} if count > 1 and item else label


def _label(story: Story, part: str) -> str:
    return story.labels()[part]


def template(story: Story, part: str) -> tuple[JointSaid, ...]:
    """The joints of a part as if they were said again, for another one that is the same."""
    return tuple(
        JointSaid(
            kind=None if "kind" in joint.unsure else joint.kind,
            word=joint.kind,
            label=" ".join(word for word in (joint.label or "").split()[:-1]),
            count=None if "count" in joint.unsure else joint.count,
            counted="count" not in joint.unsure,
            head=joint.head,
            thread=joint.thread,
            property_class=joint.property_class,
        )
        for joint in story.machine.parts[part].joints.values()
    )


def _figure(joint: Joint) -> bool:
    return joint.torque is not None and bool(joint.torque.stages)


def copy_torques(story: Story, like: str | None, part: str) -> None:
    """What is the same gets the torques that are known of the other one, with their sources."""
    if like is None or like == part:
        return
    known = list(story.machine.parts[like].joints.values())
    for joint in story.machine.parts[part].joints.values():
        same = (
            one for one in known if (one.kind, one.head, one.count) == (joint.kind, joint.head, joint.count)
        )
        other = next(same, None)
        if other is None or not _figure(other) or _figure(joint):
            continue
        for key in ("torque", "source"):
            value = story.value("parts", like, "joints", other.name, key)
            if value is not None:
                story.set(("parts", part, "joints", joint.name, key), value)
