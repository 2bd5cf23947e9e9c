"""``No, 10``: what of the act told last was wrong, and what it is instead."""

from __future__ import annotations

import re

from sequencer.machine.heard.joint import JointSaid, joints_in
from sequencer.machine.heard.tokens import HOLE, Token, Words, tokens_of
from sequencer.spoken.acting import act_in
from sequencer.spoken.details import figure_in, place_in
from sequencer.spoken.instead import counted_instead, last_joint, number_alone, swapped_in
from sequencer.spoken.names import doubtful, name_in, only_adjectives
from sequencer.spoken.patterns import pattern, word_pattern
from sequencer.spoken.values import Change, Context, Correction, Did

_FILLER = pattern("correction", "filler")


_UNSURE = (
    "actually",
    "it was",
    "they were",
    "they are",
    "theyre",
    "those are",
    "these are",
    "that was",
    "those were",
    "these were",
    "there were",
    "there was",
)
"""What opens a correction only where something was told before."""


def correction_in(tokens: list[Token], context: Context) -> Correction | None:
    """The correction that a line is; None where it is none."""
    while len(tokens) > 1 and tokens[-1].norm in (".", "!"):
        tokens = tokens[:-1]
    words = Words(tokens)
    text = words.raw(0, len(words.text))
    opener = words.find(pattern("correction", "opener"))
    if opener is None:
        swapped = swapped_in(words.text, context.last)
        return Correction(text, (swapped,)) if swapped else _without_opener(text, words, context)
    if opener[0].strip() in _UNSURE and context.last is None:
        return None
    if rather := re.match(r"^(?:no )?not (\w+) ,(?: (?:but|is|its|it is))? (\w+)$", words.text):
        return Correction(text, _rather(rather[1], rather[2], words, context))
    negated_number = re.match(r"^(?:no |sorry |actually )*,? ?not (\d+(?:\.\d+)?)\b", words.text)
    words.cut(0, max(opener.end() - 1, 0)) if opener.end() > 0 else None
    rest = Words([one for one in words.tokens if one.norm != "¦"])
    if negated_number:
        rest.take(re.compile(rf"^\W*{re.escape(negated_number[1])}\b\W*"))
    if instead := rest.take(pattern("correction", "instead")):
        one = _part_instead(instead["wrong"], rest, context) or counted_instead(
            instead["wrong"], rest, context.last
        )
        if one is not None:
            return Correction(text, (one,))
    several = _several(rest.tokens, context)
    if several is not None:
        return Correction(text, several)
    rest = Words([one for one in rest.tokens if one.norm not in _SIGNS])
    return Correction(text, changes_in(_without_filler(rest), context))


_NOT = re.compile(
    r"^(?:(?P<right>.+?)(?: ,)? (?:and |but )?not|not (?:a |an |the )?(?P<wrong>.+?) ,(?: but)?)"
    r" (?P<other>.+)$"
)
_SUBJECT = re.compile(
    r"^(?:(?:they|those|these|that|it|all|both|the|heads?|bolts|nuts|screws|size|count|of them) )*"
    r"(?:(?:they|those|these|that|it|heads?|size|count) (?:is|are|was|were)|theyre|all(?: of them)?|only"
    r"|wait|hang on|hold on)(?: ,)?(?: (?:all|only|just|really|a|an|the))* (?=\w)"
)
_BEHIND = re.compile(
    r"(?: ,)? (?:actually|sorry|i mean|i meant|in fact|instead|rather|in all|altogether|in total|of them)$"
)
_JOINT = {"count", "head", "kind", "thread"}


def _without_opener(text: str, words: Words, context: Context) -> Correction | None:
    """``5 bolts not 4``, ``they are 12s``, ``allen 6 actually``: no more than facts of the last act."""
    if context.last is None:
        return None
    right, wrong = words.text, None
    if match := _NOT.match(right):
        right, wrong = (
            (match["right"], match["other"]) if match["right"] else (match["other"], match["wrong"])
        )
    plain = _BEHIND.sub("", _SUBJECT.sub("", right))
    if wrong is None and plain == right:
        return None
    tokens = words.within(words.text.find(plain), words.text.find(plain) + len(plain))
    several = _several(tokens, context)
    changes = several or changes_in(Words(tokens), context)
    part = context.last.part.label.casefold() if context.last.part is not None else ""
    instead = wrong is not None and part.endswith(re.sub("^(?:the|a) ", "", wrong))
    undone = wrong is not None and not instead and _is_act(wrong)
    allowed = {"part"} if instead else {"act"} if undone else _JOINT
    left = Words(tokens)
    joints_in(left, naming=True)
    known = (
        instead
        or undone
        or all(one.norm in ("¦", "and", "a", "mm") or one.norm.isdigit() for one in left.tokens)
    )
    if not changes or not known or not {one.what for one in changes} <= allowed:
        return None
    return Correction(text, changes)


def _is_act(text: str) -> bool:
    """``moved aside, not off``: the words say an act and nothing else."""
    words = Words(tokens_of(text))
    return act_in(words) is not None and all(one.norm == HOLE for one in words.tokens)


def _rather(wrong: str, right: str, words: Words, context: Context) -> tuple[Change, ...]:
    """``not 4, 6``: by what the last act has."""
    last = last_joint(context.last)
    if right.isdecimal() and last is not None and wrong in (str(last.count), last.head):
        return (Change("head", right, right) if wrong == last.head else Change("count", int(right), right),)
    return changes_in(Words(words.tokens[-1:]), context)


def _part_instead(wrong: str, rest: Words, context: Context) -> Change | None:
    """``that is the idler, not the tensioner``: the part was named wrongly."""
    part = context.last.part if context.last is not None else None
    if part is None or wrong.strip() != part.label.casefold():
        return None
    tokens = [one for one in rest.tokens if one.norm not in _SIGNS]
    name = name_in(_without_filler(Words(tokens)).tokens, context.parts)
    return Change("part", name.label, name.words) if name is not None and not doubtful(name) else None


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
    found = [changes_in(Words(one.tokens), context) for one in pieces]
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


def changes_in(words: Words, context: Context) -> tuple[Change, ...]:
    """What is put right; nothing where that can't be told."""
    raw = words.raw(0, len(words.text))
    if number := re.fullmatch(r"(size )?(\d{1,3}(?:\.\d)?)( ?mm)?", words.text):
        return number_alone(number[2], raw, context.last, sized=bool(number[1] or number[3]))
    if count := _COUNT.fullmatch(words.text):
        return (Change("count", int(count[1] or count[2]), raw),)
    if (torque := _torque(words, raw, context.last)) is not None:
        return (torque,)
    changes: list[Change] = []
    position = place_in(words)
    if position is not None:
        changes.append(Change("position", position.value, position.words))
    joints = joints_in(words, naming=True)
    if len(joints) > 1:
        return ()  # which of them is wrong, and which is new, has to be asked
    changes += [change for joint in joints for change in _joint(joint)]
    acted = act_in(words)
    if acted is not None:
        changes.append(Change("act", acted.act, acted.words))
    for run in words.runs():
        if acted is not None and only_adjectives(run):
            continue
        spent = ("one", "1", "ones", "side", "hand", *(("other",) if only_adjectives(run) else ()))
        name = name_in([one for one in run if one.norm not in spent] or run, context.parts)
        if name is None or word_pattern("remarks").search(" ".join(one.norm for one in run)):
            continue
        if doubtful(name) and " and " not in name.label:
            return ()
        changes.append(Change("part", name.label, name.words))
    return tuple(one for one in changes if not _as_it_was(one, context.last))


def _torque(words: Words, raw: str, last: Did | None) -> Change | None:
    """``no, 12 Nm``: another figure than the one that was told; None where it says else, or none was told."""
    rest = Words(words.tokens)
    figure = figure_in(rest)
    told = last is not None and (last.figure is not None or any(one.torque for one in last.joints))
    alone = all(one.norm in (HOLE, "to") for one in rest.tokens)
    return Change("torque", figure.words, raw) if figure is not None and told and alone else None


def _as_it_was(change: Change, last: Did | None) -> bool:
    """It only says again what the last act has: the bolts were 12."""
    joint = last_joint(last)
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
