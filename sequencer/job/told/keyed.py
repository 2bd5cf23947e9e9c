"""What lies between a part and its shaft, a key: it comes out once the part is off, and goes in before it."""

from __future__ import annotations

import re
from dataclasses import replace

from sequencer.graph.operations import Kind
from sequencer.job.told.story import Story
from sequencer.job.told_words import words
from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.survey.short_lines import key_of, label_of, unused
from sequencer.machine.trade.relations import OFF, barring
from sequencer.spoken.values import Act, Did
from sequencer.wording import small

Keys = tuple[JointSaid, ...]


def without_keys(story: Story, did: Did, last: str | None) -> tuple[Did, Keys]:
    """An act without the keys that were said among its joints, and these.

    None is where nothing has come off, and where the file has the key as a joint of that part.
    """
    keys = tuple(one for one in did.joints if re.fullmatch(words()["keyed"], one.words.casefold()))
    part = did.part.key if did.part else last
    known = story.machine.parts.get(part or "")
    if not keys or did.act.value is not Act.OFF or (did.part is None and not story.is_off(part or "")):
        return did, ()
    if known is not None and any(re.search(r"\bkeys?\b", one.label or "") for one in known.joints.values()):
        return did, ()
    return replace(did, joints=tuple(one for one in did.joints if one not in keys)), keys


def keys_told(story: Story, part: str, keys: Keys) -> list[str]:
    """Write keys as parts of their own, which came out after ``part``; they lie with what held that."""
    found = []
    for one in keys:
        held = story.machine.parts[part]
        whose = small(held.label or part)
        label = f"{'' if one.count in (None, 1) else f'{one.count} '}{one.words} of the {whose}"
        taken = {*story.machine.parts, *story.machine.tasks, *story.machine.fluids}
        name = unused(key_of(one.words), taken)
        fields: dict[str, object] = {"label": label_of(label), barring(OFF).key: [part], "joints": {}}
        if held.joints:
            fields["note"] = {"back": f"The {one.words} lies with the fasteners of the {whose}."}
        story.add(("parts", name), fields)
        story.tick(Kind.REMOVE.of(name))
        found.append(name)
    return found
