"""What held a part, as it was said: which joint of the file is meant, and how a new one is written."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from sequencer.graph.operations import Kind
from sequencer.job.told.story import Story
from sequencer.job.told_words import words
from sequencer.machine.called import words_of
from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.model import HAND, Joint
from sequencer.machine.survey.short_lines import key_of, unused
from sequencer.machine.trade.kinds import ANY_KIND, kind_of_joint
from sequencer.spoken.values import Did
from sequencer.torque.fasteners.threads import is_left_hand

SAID = "said on the job"
_MORE = frozenset({"more", "other", "others", "another", "further"})
"""Words that tell nothing of a joint but that there are others."""
_SEVERAL = 2
"""What is taken where several were told and not how many."""


def joint_fields(story: Story, said: JointSaid) -> dict[str, Any]:
    """A joint as a file writes it; under ``unsure`` what nobody said."""
    kind = kind_of_joint(said.kind or ANY_KIND)
    name = kind.name if kind else ANY_KIND
    hand = said.head == HAND
    unsure = ["kind"] if said.kind is None else []
    if said.head is None and said.tool is None and kind is not None and not kind.by_hand:
        unsure.append("head" if kind.headed else "tool")
    if said.count is None:
        unsure.append("count")
    count = said.count or (_SEVERAL if _many(said) else 1)
    tool = said.tool_words
    usual = said.words in (name, f"{name}s", f"{name}es") or said.kind is None
    told = {
        "kind": name,
        "label": None if usual else said.words,
        "head": int(said.head) if said.head and said.head.isdecimal() else said.head,
        "tool": None if hand or not tool else story.named("tools", tool, {"drive": "none"}),
        "fit": _pressed(story, name, tool),
        "count": count if count > 1 else None,
        "thread": said.thread,
        "length": f"{said.length_mm} mm" if said.length_mm else None,
        "class": said.property_class,
        "torque": said.torque.shown_in() if said.torque else None,
        "source": SAID if said.torque else None,
        "note": _note(said),
        "unsure": unsure or None,
    }
    return {key: value for key, value in told.items() if value is not None}


def _pressed(story: Story, kind: str, tool: str | None) -> dict[str, str] | None:
    """How what was pulled goes on again: the tool that pulls does not press."""
    if kind != "fit" or words()["pulled"] not in (tool or ""):
        return None
    return {"tool": story.named("tools", words()["pressed"], {"drive": "none"})}


def _many(said: JointSaid) -> bool:
    return said.words.endswith("s")


def _note(said: JointSaid) -> str | None:
    return f"{said.family}, size not said" if said.family else None


def meant(story: Story, part: str, said: JointSaid, told: Collection[str] = ()) -> tuple[Joint, ...]:
    """The joints of a part, still done up, that one that was said may be: none where it is a new one.

    Those that were ``told`` of beside it are others.
    """
    there = [
        joint
        for joint in story.machine.parts[part].joints.values()
        if joint.name not in told and not story.is_done(Kind.UNDO.of(joint.path))
    ]
    kind = kind_of_joint(said.kind) if said.kind else None
    alike = [one for one in there if kind is None or one.kind == kind.name or "kind" in one.unsure]
    for narrower in (_by_head, _by_words, _by_count):
        if len(alike) > 1:
            alike = narrower(alike, said) or alike
    return tuple(alike)


def _by_head(joints: Sequence[Joint], said: JointSaid) -> list[Joint]:
    return [one for one in joints if said.head and (one.head == said.head or "head" in one.unsure)]


def _by_words(joints: Sequence[Joint], said: JointSaid) -> list[Joint]:
    words = words_of(said.label)
    return [one for one in joints if words and words <= words_of(f"{one.name} {one.label or ''}")]


def _by_count(joints: Sequence[Joint], said: JointSaid) -> list[Joint]:
    return [one for one in joints if said.count is not None and one.count == said.count]


def left_handed(story: Story, part: str, did: Did) -> Did:
    """An act with a left-hand thread as a fact of its one joint, where that was said; else as it is."""
    beside = [one for one in did.remarks if _says_left(one.text)]
    threaded = [one for one in did.joints if one.kind is None or _is_threaded(one.kind)]
    rest = replace(did, remarks=tuple(one for one in did.remarks if one not in beside))
    if not beside or len(threaded) > 1:
        return did
    if not threaded:
        return rest if made_left_handed(story, part, beside[0].text) else did
    joints = (replace(one, thread=_left(one.thread)) if one in threaded else one for one in did.joints)
    return replace(rest, joints=tuple(joints))


def made_left_handed(story: Story, part: str, text: str) -> bool:
    """Whether a remark says that the one threaded joint of a part is left-hand; then the file says so."""
    known = [one for one in story.machine.parts[part].joints.values() if _is_threaded(one.kind)]
    if len(known) != 1 or not _says_left(text):
        return False
    path = ("parts", part, "joints", known[0].name, "thread")
    story.set(path, _left(story.value(*path)))
    return True


def _says_left(text: str) -> bool:
    return re.fullmatch(words()["left_hand"], text.strip(" .").casefold()) is not None


def _is_threaded(kind: str) -> bool:
    known = kind_of_joint(kind)
    return known is not None and bool(known.figure)


def _left(thread: object) -> str:
    """A thread as a file has it, that is left-hand."""
    return f"{thread} LH" if thread and not is_left_hand(str(thread)) else str(thread or "left-hand")


def joint_told(story: Story, part: str, said: JointSaid, told: Collection[str] = ()) -> str | None:
    """The name of the joint that was said, written into the file where it is new; None: it may be several."""
    label = " ".join(word for word in said.label.split() if word not in _MORE)
    said = replace(said, label=label)
    found = meant(story, part, said, told)
    if len(found) > 1:
        return None
    fields = joint_fields(story, said)
    if found:
        _made_surer(story, found[0], fields)
        return found[0].name
    name = unused(key_of(said.words) or "fastener", story.machine.parts[part].joints)
    story.add(("parts", part, "joints", name), fields)
    return name


def _made_surer(story: Story, joint: Joint, fields: dict[str, Any]) -> None:
    """What nobody had said of a joint until now; where it is said otherwise the file holds, which is told."""
    path = ("parts", joint.part, "joints", joint.name)
    still = list(fields.get("unsure", ()))
    for key in ("kind", "head", "tool", "count", "thread", "length", "class", "torque"):
        if key in still or key not in fields:
            continue
        now, new = story.value(*path, key), str(fields[key])
        if key in joint.unsure or (now is None and key != "count"):
            story.set((*path, key), fields[key])
            if key == "torque":
                story.set((*path, "source"), fields["source"])
        elif now is not None and str(now) != new and key in ("head", "count", "thread"):
            words = f"the file has {key} {now} for {joint.path}"
            story.kept.words.append(f"{words}: if {new} is right, correct {joint.path} {key}={new}")
    unsure(story, path, [key for key in joint.unsure if key in still or key not in fields])


def unsure(story: Story, path: tuple[str, ...], left: list[str]) -> None:
    """What is still unsure of a part or joint."""
    if story.value(*path, "unsure") is not None:
        story.set((*path, "unsure"), left or None)
