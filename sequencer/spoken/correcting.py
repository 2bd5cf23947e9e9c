"""``No, 10``: what of the act told last was wrong, and what it is instead."""

from __future__ import annotations

import re

from sequencer.machine.heard.joint import JointSaid, fits_head, joints_in
from sequencer.machine.heard.words import Token, Words
from sequencer.machine.trade.heads import tool_for
from sequencer.spoken.acting import act_in
from sequencer.spoken.details import place_in
from sequencer.spoken.names import doubtful, name_in, only_adjectives
from sequencer.spoken.patterns import pattern
from sequencer.spoken.values import Change, Context, Correction, Did

_FILLER = pattern("correction", "filler")


_UNSURE = (
    "actually",
    "it was",
    "they were",
    "that was",
    "those were",
    "these were",
    "there were",
    "there was",
)
"""What opens a correction only where something was told before."""


def correction_in(tokens: list[Token], context: Context) -> Correction | None:
    """The correction that a line is; None where it is none."""
    words = Words(tokens)
    opener = words.find(pattern("correction", "opener"))
    if opener is None or (opener[0].strip() in _UNSURE and context.last is None):
        return None
    text = words.raw(0, len(words.text))
    negated_number = re.match(r"^(?:no |sorry |actually )*,? ?not (\d+(?:\.\d+)?)\b", words.text)
    rather = re.match(r"^(?:no )?not (\w+) ,(?: but)? (\w+)$", words.text)
    if rather:
        last = _last_joint(context.last)
        if rather[2].isdecimal() and last is not None and rather[1] in (str(last.count), last.head):
            head = rather[1] == last.head
            value: int | str = rather[2] if head else int(rather[2])
            return Correction(text, (Change("head" if head else "count", value, rather[2]),))
        return Correction(text, _changes(Words(words.tokens[-1:]), context))
    words.cut(0, max(opener.end() - 1, 0)) if opener.end() > 0 else None
    rest = Words([one for one in words.tokens if one.norm != "¦"])
    if negated_number:
        rest.take(re.compile(rf"^\W*{re.escape(negated_number[1])}\b\W*"))
    instead = rest.take(pattern("correction", "instead"))
    if instead and (count := _counted_instead(instead["wrong"], rest, context)):
        return Correction(text, (count,))
    several = _several(rest.tokens, context)
    if several is not None:
        return Correction(text, several)
    rest = Words([one for one in rest.tokens if one.norm not in _SIGNS])
    return Correction(text, _changes(_without_filler(rest), context))


def _counted_instead(wrong: str, rest: Words, context: Context) -> Change | None:
    """``eight nuts, not four``: how many, where four was the count and no size."""
    last = _last_joint(context.last)
    numbers = [one.norm for one in rest.tokens if one.norm.isdecimal()]
    if last is None or len(numbers) != 1 or wrong.strip() != str(last.count) or wrong.strip() == last.head:
        return None
    return Change("count", int(numbers[0]), numbers[0])


def _without_filler(rest: Words) -> Words:
    """Without words at the start that say nothing."""
    while (match := re.match(_FILLER, f"{rest.text} ")) and rest.tokens:
        length = len(match[0].split())
        if any(one.norm in ("left", "right") for one in rest.tokens[:length]):
            break
        rest = Words(rest.tokens[length:])
    return rest


_SIGNS = ("¦", ",", ".", ":", ";", "-", "!")


def _several(tokens: list[Token], context: Context) -> tuple[Change, ...] | None:
    """Two things put right at once: ``4 and T30``; none where they are at odds, None where it is but one.

    A number beside a head is a count, beside a count a size.
    """
    cut = [Words([])]
    for token in tokens:
        if token.norm in ("and", ",", "with"):
            cut.append(Words([]))
        elif token.norm not in _SIGNS:
            cut[-1].tokens.append(token)
    pieces = [one for one in map(_without_filler, cut) if one.tokens]
    found = [_changes(Words(one.tokens), context) for one in pieces]
    what = [change.what for one in found for change in one]
    for place, words in enumerate(pieces):
        number = words.text
        if not found[place] and re.fullmatch(r"\d{1,3}", number) and ("head" in what) != ("count" in what):
            about = "count" if "head" in what else "head"
            found[place] = (Change(about, int(number) if about == "count" else number, number),)
    changes = [change for one in found for change in one]
    if len(pieces) < _TWO or not {one.what for one in changes} <= {"count", "head", "kind", "thread"}:
        return None
    kinds = [one for words in pieces for one in joints_in(Words(words.tokens), naming=True) if one.kind]
    clear = all(found) and len({one.what for one in changes}) == len(changes) and len(kinds) < _TWO
    return tuple(changes) if clear else () if changes else None


_TWO = 2

_COUNT = re.compile(
    r"(\d{1,3})(?: of (?:them|those|these)| in (?:all|total))|(?:there (?:were|are) |just )*only (\d{1,2})"
)
"""A number that can only say how many."""


def _changes(words: Words, context: Context) -> tuple[Change, ...]:
    """What is put right; nothing where that can't be told."""
    raw = words.raw(0, len(words.text))
    if number := re.fullmatch(r"(size )?(\d{1,3}(?:\.\d)?)( ?mm)?", words.text):
        return _number(number[2], raw, context, sized=bool(number[1] or number[3]))
    if count := _COUNT.fullmatch(words.text):
        return (Change("count", int(count[1] or count[2]), raw),)
    changes: list[Change] = []
    position = place_in(words)
    if position is not None:
        changes.append(Change("position", position.value, position.words))
    joints = joints_in(words, naming=True)
    if len(joints) > 1:
        return ()  # which of them is wrong, and which is new, has to be asked
    for joint in joints:
        changes += _joint(joint)
    acted = act_in(words)
    if acted is not None:
        changes.append(Change("act", acted.act, acted.words))
    for run in words.runs():
        if acted is not None and only_adjectives(run):
            continue
        left = [one for one in run if one.norm not in ("one", "1", "ones", "side", "hand")] or run
        if [one.norm for one in left] != [one.norm for one in run] and not left:
            continue
        name = name_in(left, context.parts)
        if name is not None and doubtful(name) and " and " not in name.label:
            return ()
        if name is not None:
            changes.append(Change("part", name.label, name.words))
    return tuple(one for one in changes if not _as_it_was(one, context.last))


def _as_it_was(change: Change, last: Did | None) -> bool:
    """It only says again what the last act has: the bolts were 12."""
    joint = _last_joint(last)
    return (
        joint is not None
        and change.what == "kind"
        and change.value == joint.kind
        and len(change.words.split()) > 1
    )


def _joint(joint: JointSaid) -> list[Change]:
    found: list[Change] = []
    if joint.counted and joint.count is not None:
        found.append(Change("count", joint.count, joint.said))
    if joint.head is not None:
        found.append(Change("head", joint.head, joint.said))
    if joint.kind is not None:
        found.append(Change("kind", joint.kind, joint.said))
    if joint.thread is not None:
        found.append(Change("thread", joint.thread, joint.said))
    return found


def _number(number: str, words: str, context: Context, *, sized: bool) -> tuple[Change, ...]:
    """A number alone: the size or the count of the last joint, where it can only be one of them."""
    last = _last_joint(context.last)
    head = Change("head", f"{float(number):g}", words)
    if sized or "." in number:
        return (head,)
    count = Change("count", int(number), words)
    millimetres = last is not None and last.head is not None and last.head.isdecimal()
    few = last is None or last.count is None or last.count < 8
    if last is not None and last.counted and last.head is not None and not _same_sort(last.head, number):
        return (count,)  # there is no cross-head of 6
    if last is not None and last.head is None and last.count is not None and last.counted:
        return (count,) if int(number) < 8 else ()
    if millimetres and few:
        assert last is not None
        assert last.head is not None
        if int(number) >= 8 and fits_head(number):
            return (head,)
        if int(number) < 5 and int(last.head) >= 8:
            return (count,)
    return ()


def _same_sort(head: str, number: str) -> bool:
    """A head of the sort of ``head`` has the size ``number``: PH2, and 3."""
    sort = re.sub(r"[\d.]+$", "", head)
    return not sort or tool_for(f"{sort}{number}") is not None


def _last_joint(last: Did | None) -> JointSaid | None:
    return last.joints[-1] if last is not None and last.joints else None
