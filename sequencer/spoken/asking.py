"""The one question that a line is worth: what would be a guess otherwise."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from sequencer.spoken.names import doubtful
from sequencer.spoken.sure import Doubtful, DoubtReason
from sequencer.spoken.values import Act, Care, Context, Correction, Did, Line, Name, ToldQuestion
from sequencer.wording import joined

ONLY_A_NOTE = "only a note"
"""What a line is by an answer: nothing was done."""

_NO_PART = (Act.TASK, Act.LEFT_OVER, Act.NOTE, Act.DRAINED)


def asked(line: Line, context: Context, doubts: Sequence[Doubtful] = ()) -> Line:
    """The line with its question, if there is one.

    Args:
        line: The reading.
        context: What was known.
        doubts: What of the line the reading does not account for.
    """
    way = next((one for one in doubts if one.why is DoubtReason.WAY), None)
    if way is not None:
        return replace(line, question=_doubted(way))
    for one in line.said:
        if isinstance(one, Correction):
            question = _correcting(one)
        elif isinstance(one, Did):
            question = _in_its_own_way(one) or _of_part(one, context) or _of_joints(one) or _of_act(one)
        else:
            question = None
        if question is not None:
            named = next((one for one in doubts if one.why is DoubtReason.NAME), None)
            size = question.about in ("count", "head", "thread")
            return replace(line, question=_doubted(named) if named is not None and size else question)
    if doubts and line.question is None:
        return replace(line, question=_doubted(doubts[0]))
    return line


def _doubted(doubt: Doubtful) -> ToldQuestion:
    """The question about words that the reading does not account for; until then it stands."""
    text = _WORDED[doubt.why].format(doubt.words)
    if doubt.why is DoubtReason.NAME:
        return ToldQuestion("part", text, ("yes", "another name"))
    return ToldQuestion("meaning", text, _ANSWERS)


_ANSWERS = ("yes", ONLY_A_NOTE, "say it again")

_EITHER = re.compile(r"(?:\w+ )*(?:cut|snipped|drilled|released|opened|undid)\b", re.IGNORECASE)
"""What was cut may be off, and may be only undone."""

_LET_DOWN = re.compile(r"\b(?:dropped|lowered|let|came|comes|swung|pulled) down$")
"""What was let down may still hang."""

_WORDED = {
    DoubtReason.LEFT: "What is “{}”? Is the rest right?",
    DoubtReason.NAME: "Is the part called “{}”?",
    DoubtReason.WAY: "Was it in the way of “{}”?",
    DoubtReason.SAME: "The same was done to “{}”?",
    DoubtReason.JOINT: "Is “{}” read rightly?",
    DoubtReason.NOTE: "“{}” is kept as a note. Is that all it is?",
    DoubtReason.OPEN: "You said “{}”. Is it done?",
    DoubtReason.LONG: "That was much at once. Is it right so?",
    DoubtReason.SEVERAL: "Is each of those an act of its own?",
}


def _correcting(one: Correction) -> ToldQuestion | None:
    if one.changes:
        return None
    number = next((word for word in reversed(one.words.split()) if word.isdigit()), "")
    if number:
        return ToldQuestion(
            "correction", f"{number}: the size, or how many?", (f"size {number}", f"{number} of them")
        )
    return ToldQuestion("correction", "What was wrong?", ("the part", "how many", "the size", "all of it"))


def _of_part(did: Did, context: Context) -> ToldQuestion | None:
    if did.part is None:
        if not did.act.said and context.last is not None:
            return None  # more of the act told last
        if did.act.value in _NO_PART or not (did.act.said or did.joints):
            return None
        return ToldQuestion("part", "Which part is that?")
    if doubtful(did.part):
        return ToldQuestion("part", f"Is the part called “{did.part.label}”?", ("yes", "another name"))
    if did.part.near:
        several = len(did.part.near) > 1
        text = f"{joined(did.part.near, 'or')}?" if several else f"Is that the {did.part.near[0]}?"
        return ToldQuestion("part", text, (*did.part.near, f"another: {did.part.label}"))
    return None


def _in_its_own_way(did: Did) -> ToldQuestion | None:
    """Nothing is in the way of itself: a name was read where there is none."""
    names = [name for name in did.way_of if isinstance(name, Name)]
    if did.part is None or not any(_same(name, did.part) for name in names):
        return None
    return ToldQuestion("meaning", f"Is that about the {did.part.label}?", ("yes", "say it again"))


def _same(one: Name, other: Name) -> bool:
    return one.label.casefold() == other.label.casefold() or (one.key is not None and one.key == other.key)


def _of_act(did: Did) -> ToldQuestion | None:
    """It was in the way of something, and nobody said how far it went."""
    if did.way_of and not did.act.said and did.act.value is Act.OFF and not did.joints:
        return ToldQuestion("act", "Off, or only aside?", ("off", "aside", "loose"))
    hangs = any(one.care is Care.TIE and one.text.casefold().startswith("hang") for one in did.remarks)
    if hangs and not did.act.said and did.act.value is Act.OFF:
        return ToldQuestion("act", "Off, or only aside?", ("off", "aside", "loose"))
    if (
        did.act.value is Act.UNDONE
        and did.part is not None
        and not did.joints
        and _EITHER.match(did.act.words)
    ):
        return ToldQuestion("act", "Is it off, or only undone?", ("off", "undone", "aside"))
    if did.act.value is Act.BACK and did.act.words.casefold() in ("back", "is back") and not did.figure:
        return ToldQuestion("act", "Back on, or only moved back?", ("back on", "aside", "loose"))
    if did.act.value is Act.OFF and _LET_DOWN.search(did.act.words.casefold()) and did.part is not None:
        return ToldQuestion("act", "Off, or only let down?", ("off", "aside", "loose"))
    return None


def _of_joints(did: Did) -> ToldQuestion | None:
    for about in ("head", "count", "thread"):
        for joint in did.joints:
            for doubt in joint.doubts:
                if doubt.about == about:
                    return ToldQuestion(doubt.about, doubt.text, doubt.choices)
    return None
