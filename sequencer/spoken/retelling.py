"""Clauses that put right, or part, the joints that were told just before them in the same line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from sequencer.machine.heard.joint import JointSaid
from sequencer.machine.heard.tokens import Token, Words, said
from sequencer.spoken import vocabulary
from sequencer.spoken.correcting import changes_in
from sequencer.spoken.names import only_adjectives
from sequencer.spoken.patterns import pattern
from sequencer.spoken.values import Act, Context, Did, Heard

_EMPTY = JointSaid()


def without_opener(clause: Sequence[Token]) -> list[Token] | None:
    """``wait no, 7 bolts``: the clause without the words that take back what was said; None: it has none."""
    text = " ".join(one.norm for one in clause)
    match = pattern("correction", "within").match(text)
    return list(clause[len(match[0].split()) :]) if match and match[0] else None


def put_right(told: Sequence[JointSaid], clause: Sequence[Token], words: str) -> list[JointSaid] | None:
    """The joints that were told, the last of them put right; None where the clause says something else.

    Args:
        told: The joints that the line has told.
        clause: What is right, without the words that open it.
        words: All of it, as it was said.
    """
    if not told or not clause:
        return None
    context = Context(last=Did(Heard(Act.OFF), joints=tuple(told)))
    changes = changes_in(Words(clause), context)
    values = {one.what: one.value for one in changes if one.what in ("count", "head", "kind", "thread")}
    if not changes or len(values) != len(changes):
        return None
    last = told[-1]
    doubts = tuple(one for one in last.doubts if one.about not in values)
    if "kind" in values and values["kind"] != last.kind:
        last = replace(last, kind=str(values["kind"]), word=str(values["kind"]))
    if "count" in values:
        last = replace(last, count=int(str(values["count"])), counted=True)
    if "head" in values:
        last = replace(last, head=str(values["head"]), family="")
    if "thread" in values:
        last = replace(last, thread=str(values["thread"]))
    return [*told[:-1], replace(last, said=f"{last.said}, {words}", doubts=doubts)]


_ONE = re.compile(
    r"(?P<which>(?:the )?(?:[a-z]+ ){1,2}?)(?:one|1|ones) "
    r"(?:is |was |a |are |were )*(?P<size>\d{1,2})(?: mm)?"
)


def parted(told: Sequence[JointSaid], clause: Sequence[Token]) -> list[JointSaid] | None:
    """``2 bolts, top one 15, bottom one 13``: one of those that were told; None: it says else."""
    text = " ".join(one.norm for one in clause)
    match = _ONE.fullmatch(text)
    whole = next((one for one in told if one.counted and one.head is None), None)
    if match is None or whole is None or whole.count is None or whole.family:
        return None
    which = [Token(word, word) for word in match["which"].split() if word != "the"]
    if not only_adjectives(which):
        return None
    one = replace(whole, said=said(clause), label=match["which"].strip(), count=1, head=match["size"])
    rest = replace(whole, count=whole.count - 1, said=whole.said) if whole.count > 1 else _EMPTY
    left = [rest if other is whole else other for other in told]
    found = [*(other for other in left if other is not _EMPTY), one]
    # Words of one that is wholly parted stay with the last of its parts.
    return found if rest is not _EMPTY else [*found[:-1], replace(one, said=f"{whole.said}, {one.said}")]


def told_apart(told: Sequence[JointSaid]) -> list[JointSaid]:
    """``4 bolts, two 10 and two 13``: those that were counted, by their sizes."""
    for place, whole in enumerate(told):
        if whole.kind is None or not whole.counted or whole.count is None or whole.head is not None:
            continue
        parts = list(takewhile(lambda one: one.kind is None and one.counted and one.head, told[place + 1 :]))
        if len(parts) > 1 and sum(one.count or 0 for one in parts) == whole.count:
            sorts = [replace(one, kind=whole.kind, word=whole.word) for one in parts]
            sorts[0] = replace(sorts[0], said=f"{whole.said}, {sorts[0].said}")
            return [*told[:place], *sorts, *told[place + 1 + len(parts) :]]
    return list(told)


_NAMED_ANEW = re.compile(
    r"(?:oh |and |no )*(?:i mean|i meant|(?:sorry )?no|(?:or )?rather|(?:no )?wait|wait no|actually|sorry)"
    r"(?: ,)?(?: (?:it was|that was|thats|i mean|i meant))* (?:the|my) (?P<what>[a-z][a-z -]*)"
)


def named_anew(clause: Sequence[Token]) -> str | None:
    """``took the starter off, i mean the alternator``: the thing that was meant; None: it says else."""
    match = _NAMED_ANEW.fullmatch(" ".join(one.norm for one in clause))
    return match["what"] if match and vocabulary.is_thing(match["what"]) else None
