"""Which number of the joint told last another number puts right: how many, or the size."""

from __future__ import annotations

import re

from sequencer.machine.heard.joint import JointSaid, fits_head
from sequencer.machine.heard.tokens import Words
from sequencer.machine.trade.heads import tool_for
from sequencer.spoken.values import Change, Did


def counted_instead(wrong: str, rest: Words, last_did: Did | None) -> Change | None:
    """``eight nuts, not four``: how many, where four was the count and no size."""
    last = last_joint(last_did)
    numbers = [one.norm for one in rest.tokens if one.norm.isdecimal()]
    if last is None or len(numbers) != 1 or wrong.strip() != str(last.count) or wrong.strip() == last.head:
        return None
    return Change("count", int(numbers[0]), numbers[0])


def swapped_in(text: str, last_did: Did | None) -> Change | None:
    """``13 not 14``: what the last act has is the wrong one."""
    match = _SWAPPED.fullmatch(text)
    last = last_joint(last_did)
    if match is None or last is None or (match["wrong"] == last.head) == (match["wrong"] == str(last.count)):
        return None
    if match["wrong"] == last.head:
        return Change("head", match["right"], match["right"]) if fits_head(match["right"]) else None
    return Change("count", int(match["right"]), match["right"])


_SWAPPED = re.compile(
    r"(?:it is |its |they are |size )?(?P<right>\d{1,2})(?: mm)?(?: ,)? not (?P<wrong>\d{1,2})(?: mm)?"
)


def number_alone(number: str, words: str, last_did: Did | None, *, sized: bool) -> tuple[Change, ...]:
    """A number alone: the size or the count of the last joint, where it can only be one of them."""
    last = last_joint(last_did)
    head = Change("head", f"{float(number):g}", words)
    if sized or "." in number:
        return (head,)
    count = Change("count", int(number), words)
    if last is None or last.head is None:
        if last is not None and last.counted and last.kind in _HEADLESS:
            return (count,)
        few = last is not None and last.counted and last.count is not None and int(number) < _MANY
        return (count,) if few else ()
    if last.counted and (not _same_sort(last.head, number) or _tiny(last.head, number)):
        return (count,)  # there is no cross-head of 6
    if last.head.isdecimal() and (last.count is None or last.count < _MANY):
        return _of_millimetres(int(number), int(last.head), last, head, count)
    return ()


def _of_millimetres(
    number: int, size: int, last: JointSaid, head: Change, count: Change
) -> tuple[Change, ...]:
    """Beside a head in millimetres: a size about as big, or a count that no such head has."""
    if number >= _MANY:
        return (head,) if fits_head(str(number)) else ()
    few = number < _FEW and size >= _MANY
    return (count,) if few or (last.counted and size - number > _NEAR) else ()


def _tiny(head: str, number: str) -> bool:
    """T4 is a watchmaker's."""
    return head[:1] == "T" and int(number) < _MANY


_HEADLESS = ("clip", "tie", "pin", "hook", "rivet", "spring", "circlip", "connector", "clamp")
"""Kinds of which a number says how many: no tool fits them."""
_MANY, _FEW = 8, 5
_NEAR = 4
"""A head that is put right is taken for one about as big."""


def _same_sort(head: str, number: str) -> bool:
    """A head of the sort of ``head`` has the size ``number``: PH2, and 3."""
    sort = re.sub(r"[\d.]+$", "", head)
    return not sort or tool_for(f"{sort}{number}") is not None


def last_joint(last: Did | None) -> JointSaid | None:
    """The joint that was told last."""
    return last.joints[-1] if last is not None and last.joints else None
