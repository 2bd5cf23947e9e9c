"""Numbers beside the joints of a clause: how many there are, and which size."""

from __future__ import annotations

import re
from dataclasses import replace

from sequencer.machine.heard.joint import JointSaid, OpenPoint, fits_head, sized
from sequencer.machine.heard.tokens import HOLE, Words
from sequencer.spoken import vocabulary
from sequencer.spoken.clause import Piece
from sequencer.spoken.values import Name

_TWO = 2


_HEADED = re.compile(
    rf"(?<={HOLE} )(?:with |on )?(?:a )?(?P<size>\d{{1,2}})(?: mm|s)?(?: heads?\b| on (?:them|it|those)\b)"
)


def headed(piece: Piece, words: Words) -> None:
    """``M10 with 17 heads``: the size of the joint before it."""
    match = words.find(_HEADED)
    last = piece.joints[-1] if piece.joints else None
    if match and last is not None and last.head is None and (whole := sized(last, match["size"])) is not None:
        words.cut(match.start(), match.end())
        piece.joints[-1] = whole


def two_sizes(piece: Piece, words: Words) -> None:
    """``2 bolts 13 and 17``: one of each."""
    last = piece.joints[-1] if piece.joints else None
    match = words.find(re.compile(rf"{HOLE} (?:and|plus) (?:a )?(\d{{1,2}})(?: mm)?$"))
    if match is None or last is None or last.count != _TWO or not (last.head or "").isdecimal():
        return
    if fits_head(match[1]) and match[1] != last.head:
        words.cut(match.start(1), match.end())
        if " a " in match[0]:
            piece.joints.append(replace(last, count=1, head=match[1], said=match[1]))
            return
        piece.joints[-1:] = [replace(last, count=1), replace(last, count=1, head=match[1])]


def each(piece: Piece, words: Words) -> None:
    """So many on each of several things: how many that is in all has to be asked."""
    last = piece.joints[-1] if piece.joints else None
    text = f"{last.said} {words.text}".casefold() if last is not None else ""
    if last is not None and last.count == 1 and last.counted and re.search(_ON_BOTH, text):
        piece.joints[-1] = replace(last, count=2)
        return
    if last is None or last.count is None or not re.search(r"\beach\b", text):
        return
    if _TWICE.search(text) or _OF_BOTH.match(piece.text.casefold()):
        piece.joints[-1] = replace(last, count=2 * last.count, counted=True)
        return
    choices = tuple(str(last.count * times) for times in (2, 3, 4))
    doubt = OpenPoint("count", f"{last.count} each: how many are that in all?", choices)
    piece.joints[-1] = replace(last, doubts=(*last.doubts, doubt))


_ON_BOTH = re.compile(r"\b(?:left and right|(?:at |on )?both (?:sides|ends)|(?:on )?either (?:side|end))\b")
"""One bolt left and right are two; of more nobody can tell."""
_TWICE = re.compile(r"\beach (?:side|end)\b")
_OF_BOTH = re.compile(r"(?:took |i |the |got |had )*both (?!sides|ends)\w")
"""So many of each of two: both wipers off, 1 nut 13 each."""


def of_both(text: str) -> bool:
    """The words of a clause tell of two things."""
    return _OF_BOTH.match(text.casefold()) is not None


def of_several(joint: JointSaid, name: Name | None) -> JointSaid:
    """``chain adjusters backed off, 12``: of several things nobody said how many."""
    alone = joint.kind is None and not joint.counted and joint.count == 1 and joint.head is not None
    last = name.label.casefold().split()[-1] if name is not None else ""
    several = last.endswith("s") and not last.endswith("ss") and last[:-1] in vocabulary.nouns()
    return replace(joint, count=None) if alone and several else joint


def each_of_both(joint: JointSaid) -> JointSaid:
    """So many each, of two things: twice as many."""
    open_ = [one for one in joint.doubts if " each: " in one.text]
    if not open_ or joint.count is None:
        return joint
    doubts = tuple(one for one in joint.doubts if one not in open_)
    return replace(joint, count=2 * joint.count, doubts=doubts)


_SEVERAL = re.compile(
    r"(?:^|(?<= ))(?:all |there are |there were )?(\d{1,2}) "
    r"(?:of (?:them|those|these)(?! (?:long|short|big|small|thick|thin|behind|under|rust))|in total"
    r"|altogether|in all|pieces|pcs)\b"
    r"|^all (\d{1,2})$"
)


_BARE = re.compile(
    rf"(?:^(?:the |a |an |it |is |are |all |they |theyre |only |just )*|{HOLE} |\bsize |\bhead )"
    rf"(?P<size>\d{{1,3}}(?:\.\d)?)(?: ?mm)?"
    rf"(?: (?:on |at |from )?(?:both|each) (?:sides?|ends?)| on (?:that|it|those|them)"
    rf"| (?:at|on|in) (?:the )?(?:top|bottom|left|right|front|back|middle|inside|outside|side|end))?"
    rf"(?: and)?(?: {HOLE})*$"
)
"""A number that is all of a clause, or stands last behind what was read; elsewhere it may be anything."""


_BEHIND_A_PLACE = re.compile(
    rf"{HOLE} (?:(?:and|at|on|the|each|every|both|all|of|them|top|bottom|left|right|front|back|rear|inner"
    rf"|outer|upper|lower|sides?|ends?|corners?|middle|centre|round|washers?) )+(?P<size>\d{{1,2}})(?: mm)?$"
    rf"|{HOLE} (?:under|behind|on|at|in|inside|over|above|below|by|near|beside) (?:the |its )?"
    rf"(?:[a-z]+ ){{1,2}}(?P<spot>[7-9]|[1-3]\d)(?: mm)?$"
)
"""A size behind words that say where the joints are: two nuts each end 13."""


def bare(piece: Piece, words: Words) -> None:
    """A number that is all of the clause, or that stands last in it."""
    several = words.find(_SEVERAL)
    if several:
        piece.count = int(several[1] or several[2])
        words.cut(several.start(), several.end())
    handed = words.find(re.compile(r"(?:^|(?<= ))(\d{1,2})(?= (?:left|right)\b)"))
    if handed and fits_head(handed[1]) and not piece.joints:
        piece.bare = handed[1]
        words.cut(handed.start(), handed.end())
        return
    one_each = words.find(re.compile(r"^(?:a|1|one) (\d{1,2}) and (?:a|1|one) (\d{1,2})$"))
    if one_each and fits_head(one_each[1]) and fits_head(one_each[2]):
        words.cut(one_each.start(), one_each.end())
        piece.joints += [JointSaid(said=one, count=1, counted=True, head=one) for one in one_each.groups()]
        return
    either = words.find(re.compile(r"(?:^|(?<= ))(\d{1,2}) (?:and|or) (?:a )?(\d{1,2})(?: spanners?)?$"))
    if either:
        raw = words.cut(either.start(), either.end())
        doubt = OpenPoint("head", f"{either[1]} or {either[2]}?", (either[1], either[2]))
        piece.joints.append(JointSaid(said=raw, count=1, doubts=(doubt,)))
        return
    match = words.find(_BARE) or (words.find(_BEHIND_A_PLACE) if piece.joints else None)
    if match:
        size = "size" if match["size"] else "spot"
        piece.bare = match[size]
        words.cut(*match.span(size))
