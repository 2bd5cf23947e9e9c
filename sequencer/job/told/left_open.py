"""The one question that a line leaves: what the reading asks, or what the part was in the way of."""

from __future__ import annotations

from sequencer.graph.operations import Kind
from sequencer.job.told.last import ROOM, WAY
from sequencer.job.told.story import Story
from sequencer.job.told.writing import LineProgress
from sequencer.spoken.values import Act, Line, Same, ToldQuestion
from sequencer.wording import small

_MOVED = (Act.OFF, Act.ASIDE, Act.LOOSE, Act.UNPLUGGED)
_MOST = 3


def question_after(story: Story, line: Line, told: LineProgress) -> ToldQuestion | None:
    """What is worth asking once a line is told; None where nothing is."""
    did = told.did
    only_a_way = did is not None and did.act.value is Act.NOTE and bool(did.way_of)
    if line.question is not None and not (only_a_way and line.question.about == "act"):
        return line.question
    new = [part for part in story.kept.new if part in story.kept.parts]
    if (
        did is None
        or told.part not in new
        or did.act.value not in _MOVED
        or did.way_of
        or story.moment.state.turned
    ):
        return None
    if any(isinstance(one, Same) for one in line.said) and len(line.said) > 1:
        return None
    assert told.part is not None
    choices = tuple(story.labels()[part] for part in likely(story, told.part))
    if not choices:
        return None
    label = small(story.labels()[told.part])
    were = "were" if label.endswith("s") and not label.endswith(("ss", "us", "is")) else "was"
    return ToldQuestion(WAY, f"What {were} the {label} in the way of?", (*choices, ROOM))


def likely(story: Story, part: str) -> list[str]:
    """What it was probably in the way of: what was named last and is not off yet, then the wish."""
    waiting = [one for one in reversed(list(story.machine.parts)) if _named_only(story, one)]
    wishes = [target.part for target in story.moment.targets]
    found = [*waiting, *wishes]
    return [one for one in dict.fromkeys(found) if one != part and not story.is_off(one)][:_MOST]


def _named_only(story: Story, part: str) -> bool:
    """A part of which something was in the way, and of which nothing was done."""
    own = story.machine.parts[part]
    return bool(own.to_reach) and not story.is_done(Kind.REMOVE.of(part)) and "joints" in own.unsure
