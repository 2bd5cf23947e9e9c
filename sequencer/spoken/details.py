"""What a clause says besides its act: fluids, weights, torques, purposes, marks, places."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import HOLE, Words, any_of, tokens_of
from sequencer.machine.trade.tables import table
from sequencer.quantities import (
    AngleQuantity,
    Stage,
    TorqueQuantity,
    find_torque,
    parse_angle,
    parse_kilograms,
)
from sequencer.spoken import vocabulary
from sequencer.spoken.names import name_in
from sequencer.spoken.patterns import lines, pattern, patterns
from sequencer.spoken.values import Care, Did, Heard, Name, Remark, ToldFigure, ToldReason

_ANGLE = re.compile(
    r"(?:then |plus |and |\+ |another )*(\d{1,3}) ?(?:deg|degs|degrees)\b"
    r"|(?:then |plus |and |another )*(?:a )?(1/4|1/2|quarter|half)(?:in)?(?: of a)? turn\b"
)
_SHARE = {"quarter": "1/4", "half": "1/2"}


# ---- In the way of ----


def way_of(words: Words, parts: Mapping[str, str]) -> Name | ToldReason | None:
    """What the part was in the way of, which is taken out."""
    room = words.find(re.compile(lines()["purpose"]["room"]))
    if room:
        words.cut(room.start(), room.end())
        return ToldReason.ROOM
    for one in patterns("purpose", "patterns"):
        match = words.find(one)
        if match:
            what = _UNDER_IT.sub("", _thing_in(match["what"]))
            end = match.start("what") + len(what)
            name = name_in(words.within(match.start("what"), end), parts)
            if name is not None and what.split()[-1] not in _SOMEBODY:
                words.cut(match.start(), end if end < match.end("what") else match.end())
                return name
    return None


_UNDER_IT = re.compile(r" (?:under|underneath|behind|below|above|inside) (?:it|them)$")
_SOMEBODY = frozenset({"it", "they", "that", "i", "we", "you"})
"""``the drum it`` will not come off: no name of what something was in the way of."""


def _thing_in(what: str) -> str:
    """Without joints that are told behind it: the battery | and two clamps; a cylinder 2 is one thing."""
    counted = re.search(r" (?:and |with )?\d{1,2} (?=[a-z]|\d)", what)
    return what[: counted.start()] if counted else what


# ---- Weights and torques ----


def weight_in(words: Words) -> Heard[float] | None:
    """What it weighs, in kilograms."""
    match = words.find(pattern("weight", "pattern"))
    if match is None or find_torque(words.text) is not None:
        return None
    unit = {
        "kilo": "kg",
        "kilos": "kg",
        "kilogram": "kg",
        "kilograms": "kg",
        "lbs": "lb",
        "pounds": "lb",
        "pound": "lb",
        "gram": "g",
        "grams": "g",
    }.get(match["unit"], match["unit"])
    value = float(parse_kilograms(f"{match['number']} {unit}"))
    return Heard(value, words.cut(match.start(), match.end()))


def figure_in(words: Words) -> ToldFigure | None:
    """A torque with its stages and its source, which are taken out."""
    found = find_torque(words.text)
    if found is None:
        return None
    stages: list[Stage] = []
    said: list[str] = []
    while found is not None:
        quantity, start, end = found
        said.append(words.cut(start, end))
        stages.append(quantity)
        found = find_torque(words.text)
    while match := words.find(_ANGLE):
        degrees = f"{match[1]} deg" if match[1] else f"{_SHARE.get(match[2], match[2])} turn"
        stages.append(AngleQuantity(parse_angle(degrees), degrees))
        said.append(words.cut(match.start(), match.end()))
    return ToldFigure(tuple(stages), " ".join(said), source_in(words) or "")


_PARTS_TOO = ("plate", "label", "sticker", "drawing", "book", "maker")
"""Sources that behind another word are the end of a name: the seal plate."""


def source_in(words: Words) -> str | None:
    """Where a figure comes from, which is taken out."""
    match = words.find(pattern("source", "pattern"))
    if match is None or (match[0] in _PARTS_TOO and words.text[: match.start()].rstrip()[-1:].isalpha()):
        return None
    raw = words.cut(match.start(), match.end())
    return re.sub(
        r"^(?:from|as per|per|see|says|ac?cording to|in|out of|by|source|it is)\s+|^the\s+|\s+says$",
        "",
        raw,
        flags=re.IGNORECASE,
    ).removeprefix("the ")


# ---- Marks, ties, bags, renewals, places ----


def remark_in(words: Words) -> Remark | None:
    """A mark, tie, bag or renewal, which is taken out with all that belongs to it."""
    bag = words.find(pattern("care", "bag"))
    if bag is not None:
        before = bag["before"] if bag["before"] not in lines()["care"]["bag_words"] else None
        name = bag["name"] or before
        if name:
            words.cut(bag.start(), bag.end())
            return Remark(Care.BAG, name)
    renewal = words.find(pattern("care", "renew"))
    if renewal is not None:
        return Remark(Care.RENEW, words.cut(_renewed(words.text, renewal.start()), renewal.end()))
    for care in (Care.MARK, Care.TIE):
        match = words.find(pattern("care", care.value))
        if match is not None:
            return Remark(care, words.cut(match.start(), match.end()))
    return None


def _renewed(text: str, start: int) -> int:
    """Where the words begin that name what is renewed: ``two copper washers`` before ``new``."""
    words = text[:start].split()
    spent = 0
    while spent < len(words) and words[-spent - 1] in (
        "broken",
        "torn",
        "worn",
        "old",
        "is",
        "are",
        "damaged",
        "perished",
        "and",
        "it",
        "split",
        "leaking",
        "hard",
        "bad",
        "gone",
    ):
        spent += 1
    taken = spent + 1
    if taken > len(words) or words[-taken] not in lines()["care"]["renewed_things"]:
        return start
    while (
        taken < min(len(words), spent + 4)
        and words[-taken - 1].isalnum()
        and words[-taken - 1] not in ("with", "and", "off", "out", "away", "the", HOLE)
    ):
        if words[-taken - 1].isdigit() and int(words[-taken - 1]) > 4:
            break
        taken += 1
        if words[-taken].isdigit():
            break
    return len(" ".join(words[:-taken])) + (1 if taken < len(words) else 0)


def place_in(words: Words) -> Heard[str] | None:
    """Where the work was done from, which is taken out."""
    for word, text in lines()["places"]:
        match = words.find(
            re.compile(
                rf"(?:^|(?<= )){text}" if not text.startswith("(?:all") else rf"(?:^|(?<= ))(?:{text})"
            )
        )
        if match:
            return Heard(word, words.cut(match.start(), match.end()))
    match = words.find(re.compile(rf"(?:^|(?<= ))(?:{lines()['place']})"))
    if match:
        where = words.raw(*match.span("where")) if match["where"] else ""
        words_said = words.cut(match.start(), match.end())
        lead = re.compile(r"^(?:from|through|via)\s+(?:the\s+)?", flags=re.IGNORECASE)
        return Heard(where or lead.sub("", words_said), words_said)
    return None


def spot_in(words: Words) -> Heard[str] | None:
    """Where on the machine something sits, in the user's words: ``behind the engine``."""
    match = words.find(re.compile(rf"(?:^|(?<= )){lines()['spot']}"))
    if match is None or HOLE in match[0]:
        return None
    raw = words.cut(match.start(), match.end())
    return Heard(raw, raw)


_USED = re.compile(
    r"^(?:(?:i|we|and|so|then|had to|just|but) )*(?:used|using|use) (?:(?:a|an|the|my|some) )+"
    r"(?P<tool>(?!bit |lot |little |same |other |new |old )[a-z][a-z -]+)$"
)


def used_in(words: Words) -> Heard[str] | None:
    """A thing that was used as a tool, which is taken out: ``out with a hook``."""
    told = words.find(_USED)
    if told is not None and len(told["tool"].split()) <= _SHORT_OF_TOOLS:
        raw = words.raw(*told.span("tool"))
        words.cut(told.start(), told.end())
        return Heard(raw, raw)
    used = any_of(table("heard")["tools"]["used"])
    match = words.find(
        re.compile(
            rf"\b(?:with|using|by) (?:a |my |the )(?P<tool>(?:\w+ )?(?:{used})|(?:[\w-]+ ){{1,2}}tools?)$"
        )
    )
    if match is None:
        return None
    raw = words.raw(*match.span("tool"))
    words.cut(match.start(), match.end())
    return Heard(raw, raw)


def tool_in(words: Words) -> Heard[str] | None:
    """A tool that is named, which is taken out."""
    found = [
        one
        for one in lexemes(words.text)
        if one.sort is Is.TOOL or (one.sort is Is.FAMILY and one.text.endswith((" key", " bit")))
    ]
    used = re.compile(
        r"(?:(?:i |and )*(?:used|using|use|with|by|needs|needed|takes|took) (?:the |a |an |my |that )*)?$"
    )
    for one in found:
        lead = used.search(words.text[: one.start])
        size = re.search(r"(?:\d+(?:\.\d+)? ?(?:mm|in) |[2-4] |m ?\d{1,2} )$", words.text[: one.start])
        start = size.start() if size else one.start
        lead = used.search(words.text[:start])
        last = not words.text[one.end :].replace(HOLE, "").strip() and " " in one.text
        follows = words.text[one.end :].split()[:1]
        ahead = all(lex.sort is Is.ADJECTIVE for lex in lexemes(words.text[:start]))
        start = start if lead is None or lead[0] or not ahead else 0
        first = ahead and not (follows and follows[0] not in (HOLE, "and"))
        if lead and (lead[0] or first or last or words.text[: one.start].rstrip().endswith(HOLE)):
            raw = words.raw(start, one.end)
            words.cut(min(start, lead.start()), one.end)
            return Heard(raw, raw)
    return None


def only_tools(words: Words) -> Heard[str] | None:
    """A clause of nothing but tools, by words of no table as well: craft knife, hammer and drift."""
    cut = [one for one in lexemes(words.text) if one.sort is not Is.FILLER]
    plain = all(one.sort in (Is.TOOL, Is.OTHER, Is.ADJECTIVE, Is.AND) for one in cut)
    if not cut or cut[-1].sort is not Is.TOOL or not plain or len(words.text.split()) > _SHORT_OF_TOOLS:
        return None
    if any(
        one.norm in vocabulary.happening() | vocabulary.little() - {"and", "a", "the"} for one in words.tokens
    ):
        return None
    raw = words.cut(0, len(words.text))
    return Heard(re.sub(r"^(?:the|a|an|my|and) ", "", raw, flags=re.IGNORECASE), raw)


_SHORT_OF_TOOLS = 4
_NAMED_TOOL = re.compile(r"(?:with |used )?(?:(?:the|a|my) )?(?P<tool>(?:[a-z-]+ ){1,2}(?:tool|compressor))")


def named_tool(words: Words) -> Heard[str] | None:
    """What a clause behind an act is, and nothing else: core tool, spring compressor; it is taken out."""
    match = _NAMED_TOOL.fullmatch(words.text)
    if match is None:
        return None
    raw = words.raw(*match.span("tool"))
    words.cut(0, len(words.text))
    return Heard(raw, raw)


def lifts(tool: str) -> bool:
    """Whether a tool carries a part, and does not undo what holds it: a hoist; not a strap wrench."""
    return tool.casefold().split()[-1] in lines()["lifting"]


def tightened(did: Did, text: str) -> Did:
    """An act with another torque, from where the one before it came."""
    figure = figure_in(Words(mended(tokens_of(text))))
    if figure is None:
        return did
    first = figure.stages[0]
    torque = first if isinstance(first, TorqueQuantity) and len(figure.stages) == 1 else None
    joints = (replace(one, torque=torque) if one.torque is not None else one for one in did.joints)
    source = did.figure.source if did.figure is not None else ""
    return replace(did, joints=tuple(joints), figure=with_source(figure, source))


def with_source(figure: ToldFigure, source: str) -> ToldFigure:
    """The figure, and where it comes from."""
    return replace(figure, source=figure.source or source)
