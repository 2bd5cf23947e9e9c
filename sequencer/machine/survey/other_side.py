"""``same on the other side``: what was said of the left cover, said of the right one too."""

from __future__ import annotations

import copy
import re

from sequencer.machine.model import Subject
from sequencer.machine.survey.said import Need, Said, SaidPart
from sequencer.machine.survey.short_lines import AnswerError, known
from sequencer.machine.survey.way import may_be_in_the_way, part_named
from sequencer.wording import capital, small

_PAIRS = (("left", "right"), ("front", "rear"), ("upper", "lower"), ("inner", "outer"), ("inlet", "exhaust"))
_OTHER = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}
_WORD = re.compile(rf"\b({'|'.join(_OTHER)})\b", re.IGNORECASE)
_SAME = re.compile(
    r"(?:the )?same(?: (?:here|again|too|there))?(?: (?:as )?(?:on|at) the other (?:side|end|one))?",
    re.IGNORECASE,
)
_SAME_AS = re.compile(r"(?:the )?same as (?:at |on |for )?(?:the )?(.+)", re.IGNORECASE)

SAME = "same on the other side"
"""The choice where the other side was told."""


def swapped(label: str) -> str | None:
    """What the other one is called: ``Right cover`` for ``Left cover``; ``None`` where it has no side."""

    def other(found: re.Match[str]) -> str:
        word = _OTHER[found[1].casefold()]
        return capital(word) if found[1][0].isupper() else word

    return _WORD.sub(other, label) if _WORD.search(label) else None


def other_side(said: Said, part: SaidPart) -> SaidPart | None:
    """The part on the other side, where there is one."""
    label = swapped(part.label)
    wanted = None if label is None else label.casefold()
    return next((one for one in said.parts.values() if one.label.casefold() == wanted), None)


def same_as(said: Said, part: SaidPart, answer: str, what: str) -> SaidPart | None:
    """The part of which an answer says that it is the same there; ``None`` where it says no such thing.

    Args:
        said: What was said so far.
        part: The part that is asked about.
        answer: The answer.
        what: What of the other part has to be known: ``joints`` or ``waits``.

    Raises:
        AnswerError: There is no such part, or that of it is not known.
    """
    plain = answer.strip().rstrip(".")
    if _SAME.fullmatch(plain):
        found = other_side(said, part)
        name = small(swapped(part.label) or "")
    elif named := _SAME_AS.fullmatch(plain):
        key = known(named[1], {key: label for key, label in said.labels().items() if key != part.key})
        found, name = said.parts.get(key or ""), named[1]
    else:
        return None
    if found is None or getattr(found, what) is None:
        who = f"of `{name}` that is not known yet" if name else f"`{part.label}` has no other side here"
        raise AnswerError(who, "say it in full, or name a part that was told: same as left cover")
    return found


def take_held(part: SaidPart, other: SaidPart) -> None:
    """What holds ``part`` is what holds ``other``, each from its own place."""
    part.joints = copy.deepcopy(other.joints or {})
    for joint in part.joints.values():
        joint.position, joint.waits = None, {}


def take_way(said: Said, part: SaidPart, other: SaidPart) -> None:
    """What is in the way of ``part`` is what is in the way of ``other``, on its own side.

    Raises:
        AnswerError: It would then be in its own way.
    """
    waits = {key: [_there(said, part, need) for need in needs] for key, needs in (other.waits or {}).items()}
    joints = {
        name: {key: [_there(said, part, need) for need in needs] for key, needs in joint.waits.items()}
        for name, joint in (other.joints or {}).items()
        if name in (part.joints or {})
    }
    part.waits = waits
    for name, needs in joints.items():
        assert part.joints is not None
        part.joints[name].waits = needs


def _there(said: Said, part: SaidPart, need: Need, *, off: bool = True) -> Need:
    """What is in the way there: the part on this side, where it has a side, else the same."""
    if isinstance(need, dict):
        if "any" in need:
            return {"any": [_there(said, part, one) for one in need["any"]]}
        ((name, state),) = need.items()
        return {str(_there(said, part, name, off=False)): state}
    named = Subject(need)
    label = swapped(said.parts[named.part].label)
    mine = named.part if label is None else part_named(said, label, part.key)
    may_be_in_the_way(said, part, mine, off=off and not named.of_joint)
    return f"{mine}/{named.joint}" if named.of_joint else mine
