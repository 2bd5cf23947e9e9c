"""One clause of a line, read: everything that it says by itself."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import replace

from sequencer.machine.heard.joint import JointSaid, joints_in
from sequencer.machine.heard.tokens import HOLE, Token, Words, any_of, said
from sequencer.spoken import details, sizes, vocabulary
from sequencer.spoken.acting import Acted, act_in
from sequencer.spoken.clause import Piece
from sequencer.spoken.fluids import spill_in
from sequencer.spoken.names import known_name, name_in
from sequencer.spoken.naming import find_name
from sequencer.spoken.patterns import lines, pattern, patterns
from sequencer.spoken.values import Act, Care, Remark


def read_piece(tokens: list[Token], parts: Mapping[str, str], *, fluid: str, first: bool) -> Piece:
    """Read a clause.

    Args:
        tokens: The clause.
        parts: Labels of known parts by key.
        fluid: The fluid that the line has named already.
        first: Nothing was named before it in this line.
    """
    piece = Piece(said(tokens))
    words = Words(tokens if _tells_purpose(tokens) else without_leading(tokens, lines()["fillers"]))
    if not words.tokens:
        return piece
    if _is_note(piece, words, tokens, first=first):
        return piece
    warning = words.find(pattern("care", "warning"))
    if warning and any(one.norm[:1].isdigit() for one in tokens):
        piece.remarks.append(Remark(Care.NOTE, words.cut(warning.start(), warning.end())))
        tokens = [one for one in words.tokens if one.norm != HOLE]
    _purposes(piece, words, parts)
    alone = first and not words.text.replace(HOLE, "").strip()
    countered = words.find(pattern("countered")) is not None
    if (
        countered
        or _undone_or_planned(words.text)
        or ((alone or not piece.way_of) and _undone_or_planned(" ".join(one.norm for one in tokens)))
    ):
        piece.note = piece.text
        piece.way_of = []
        return piece
    if _is_task(words.text):
        piece.task = piece.text
        return piece
    _turned(piece, words)
    _besides(piece, words, fluid)
    if not piece.doubt:
        _done(piece, words, parts, first=first)
    return piece


def _done(piece: Piece, words: Words, parts: Mapping[str, str], *, first: bool) -> None:
    """What was done, to what, and what held it."""
    used = details.used_in(words) or (None if first else details.named_tool(words))
    if first:
        _named_by_kind(piece, words, parts)
    tightened = words.find(_TIGHTENED) if piece.figure is not None else None
    _held(piece, words, naming=first or act_in(Words(words.tokens)) is not None)
    words.take(_TAKEN)
    sizes.two_sizes(piece, words)
    sizes.headed(piece, words)
    piece.tool = used or details.tool_in(words) or (None if first else details.only_tools(words))
    piece.act = act_in(words)
    if piece.act is None and _hung_aside(piece, first=first):
        piece.act = Acted(Act.ASIDE, piece.remarks[-1].text)
    if piece.act is None and piece.figure is not None and tightened is not None:
        words.take(_TIGHTENED)
        piece.act = Acted(Act.TORQUE, piece.figure.words, object_first=True)
    sizes.bare(piece, words)
    if _only_put_away(piece):
        return
    listed = piece.act is None and first and len(piece.joints) > 1 and piece.joints[1].counted
    if listed or (piece.act is not None and piece.act.alone):
        _thing(piece, parts)
    if first and piece.name is None and piece.act is None:
        _owned_thing(piece, words, parts)
    find_name(piece, words, parts, first=first)
    sizes.each(piece, words)
    if piece.act is not None:
        _thing(piece, parts)


def _is_note(piece: Piece, words: Words, tokens: list[Token], *, first: bool) -> bool:
    """It says so itself, or it is what was meant to be done, or how a thing that was named came off."""
    if words.find(pattern("care", "note")):
        keep = words.find(pattern("care", "note_keep"))
        further = keep is not None and keep.end() < len(words.text)
        piece.note = words.raw(keep.end(), len(words.text)) if keep and further else piece.text
        piece.noted_on = keep is not None and not further
        return True
    whole = " ".join(one.norm for one in tokens)
    if len(re.findall(r"\bbag\b", whole)) > 1:
        piece.note = piece.text  # of two bags nobody can tell which is whose
        return True
    if spill_in(Words(words.tokens), "") is not None:
        return False
    mended = pattern("meant").match(whole) or pattern("mishap").search(whole)
    mended = mended or pattern("mishap").match(words.text)
    if mended or (not first and (pattern("manner").search(whole) or pattern("sorts").match(whole))):
        piece.note = piece.text
        return True
    return False


def _only_put_away(piece: Piece) -> bool:
    """``all screws of the case in the jam jar``: where they are, and nothing that was done."""
    firm = any(one.counted or one.head is not None or one.thread for one in piece.joints)
    if (
        piece.act is not None
        or firm
        or not piece.joints
        or not pattern("kept_in").search(piece.text.casefold())
    ):
        return False
    piece.joints, piece.bare, piece.remarks, piece.note = [], None, [], piece.text
    return True


_TIGHTENED = re.compile(r"^(?:i )?(?:torqued?|tightened|tighten)\b")
"""It says that it was tightened, however its joints are told."""

_OF_ANOTHER = re.compile(r"\b(?:hanging|hangs)\b|\b(?:hung|tied|wired|strapped) (?:the|both|its|my) \w+")
"""How a thing hangs by now, or another thing that was tied up: nothing that was done to the part."""


def _hung_aside(piece: Piece, *, first: bool) -> bool:
    """What is tied up out of the way, or hung on something after it came away, was moved aside."""
    tied = any(one.care is Care.TIE for one in piece.remarks)
    if not first and _OF_ANOTHER.search(piece.text.casefold()):
        return False
    where = "up|aside|back|out of the way" if first else "up|aside|back|out of the way|on|from"
    hung = re.compile(rf"\b(?:hung|hanging|tied|suspended|strapped|wired)\b.*\b(?:{where})\b")
    return tied and hung.search(piece.text.casefold()) is not None


_TAKEN = re.compile(
    r"^(?:i )?(?:took|taken|take|got|pulled|had|undid|whipped|removed)"
    rf" (?=(?:the )?(?:\w+ )?{HOLE} (?:right |straight |back )?(?:out|off|away|from)\b)"
)


def _held(piece: Piece, words: Words, *, naming: bool) -> None:
    """The joints; where a torque is told of something, its words are a name unless they count."""
    if piece.figure is None:
        piece.joints = joints_in(words, naming=naming)
        return
    copied = Words(words.tokens)
    joints = joints_in(copied, naming=True)
    if any(one.counted for one in joints):
        piece.joints, words.tokens = joints, copied.tokens
        return
    for side in ("before", "after"):
        match = words.find(pattern("torque", side))
        if match and match[0]:
            words.cut(match.start(), match.end())


def _named_by_kind(piece: Piece, words: Words, parts: Mapping[str, str]) -> None:
    """``hose from the turbo``: a thing, told from others by where it goes."""
    things = any_of(lines()["things"])
    ends = "off|out|away|loose|aside|disconnected|unplugged|undone|removed|is|came|pulled|cut"
    match = words.find(
        re.compile(
            rf"^(?:the |a )*(?:{things})s? (?:from|to|of|for) (?:the |a )?[a-z][a-z -]*?(?= (?:{ends})\b|$)"
        )
    )
    if match:
        name = name_in(words.within(*match.span()), parts)
        if name is not None:
            piece.name = name
            words.cut(*match.span())


def _owned_thing(piece: Piece, words: Words, parts: Mapping[str, str]) -> None:
    """``hose of the pump jubilee 7``: the part is the hose; the joints behind it hold it."""
    thing = piece.joints[0] if len(piece.joints) > 1 else None
    match = words.find(re.compile(rf"^{HOLE} (?P<owner>(?:of|from|to) (?:the )?[a-z -]+)"))
    plain = thing is not None and not (thing.counted or thing.head or thing.thread)
    if match is None or thing is None or not plain or thing.word not in lines()["things"]:
        return
    owner = words.cut(*match.span("owner"))
    piece.name = known_name(f"{thing.said} {owner}", parts)
    piece.joints = piece.joints[1:]


def _thing(piece: Piece, parts: Mapping[str, str]) -> None:
    """``tensioner off``: what was named like a joint is the part itself."""
    if (
        piece.name is None
        and (piece.act is None or piece.act.act is not Act.LEFT_OVER)
        and len(piece.joints) >= 1
    ):
        one = piece.joints[0]
        if piece.act is not None and piece.act.act is Act.LOOSE and _sized_thing(piece, one):
            piece.name = known_name(one.word, parts)
            piece.joints[0] = replace(one, kind=None, word="")
            return
        if (
            one.word in lines()["things"]
            and not (one.kind == "connector" and one.word == "plug")
            and not one.counted
            and one.head is None
            and one.thread is None
            and (piece.act is None or piece.act.act is not Act.UNDONE)
        ):
            piece.name = known_name(one.said or one.word, parts)
            piece.joints = piece.joints[1:]


def _sized_thing(piece: Piece, one: JointSaid) -> bool:
    """``loosen the idler 13``: the thing, and the size of what holds it."""
    assert piece.act is not None
    thing = one.word in lines()["things"] and one.word in (
        "tensioner",
        "idler",
        "linkage",
        "link",
        "coupling",
    )
    return piece.act.object_first and thing and not one.counted and one.head is not None


def _turned(piece: Piece, words: Words) -> None:
    """How far it was turned is no fastener: the wheel bolts cracked a quarter turn."""
    match = words.find(pattern("turned"))
    acted = act_in(Words(words.tokens)) if match else None
    if match and acted is not None and acted.act is Act.LOOSE:
        piece.rest.append(words.cut(*match.span()))


def _is_task(text: str) -> bool:
    """Work that takes nothing off, or that left nothing off."""
    if any(one.search(text) for one in patterns("set_up")) or pattern("there_and_back").search(text):
        return True
    took_away = re.search(r"\b(?:aside|off|out|away|to one side|out of the way)$", text)
    if took_away and not re.match(r"(?:turned|switched|shut) ", text):
        return False
    if re.match(r"(?:and )?set (?:it|them) (?:down|aside|on|over)\b", text):
        return False
    tasks, bases = any_of(lines()["tasks"]), any_of(lines()["task_bases"])
    objects = "the|it|a|an|my|them|both|all|engine|cams?|crank|pressure"
    task = re.compile(rf"(?:{tasks})\b|(?:{bases})(?: (?:up|on|off|out|in|down))? (?:{objects})\b")
    return (
        task.match(text) is not None
        or re.search(r"\b(?:propped|chocked|jacked|shored) (?:up|with|on)\b", text) is not None
    )


def without_leading(tokens: list[Token], openers: Collection[str]) -> list[Token]:
    """The words without those at their start that say nothing, and the signs behind those."""
    spelt = sorted((one.split() for one in openers), key=len, reverse=True)
    while tokens:
        norms = [one.norm for one in tokens]
        length = next((len(one) for one in spelt if norms[: len(one)] == one), 0)
        if not length or (norms[0] in ("just", "only") and norms[1:2] in (["under"], ["over"])):
            break
        tokens = tokens[length:]
        while tokens and tokens[0].norm in (",", ".", "-", ":", ";", "!"):
            tokens = tokens[1:]
    return tokens


def _tells_purpose(tokens: list[Token]) -> bool:
    """``so i can reach the filter``, ``to get at the horn``: there so and to say something."""
    text = " ".join(one.norm for one in tokens)
    return any(one.match(text) for one in patterns("purpose", "patterns"))


def _undone_or_planned(text: str) -> bool:
    """It says that something was not done, or is still to come."""
    return any(one.search(text) for one in (*patterns("negated"), *patterns("planned")))


def _purposes(piece: Piece, words: Words, parts: Mapping[str, str]) -> None:
    found = details.way_of(words, parts)
    if found is not None:
        piece.way_of.append(found)


_FLUIDS = 2
"""Fluids that one clause tells."""


def _besides(piece: Piece, words: Words, fluid: str) -> None:
    """What stands beside act, joints and name."""
    if (drags := words.take(pattern("torque", "drags"))) is not None:
        piece.rest.append(drags[0])
    doubtful = words.find(pattern("torque", "doubtful")) or words.find(pattern("torque", "unsized"))
    if doubtful:
        piece.doubt = doubtful["number"]
        piece.note = piece.text
        return
    piece.figure = details.figure_in(words)
    if piece.figure is None:
        piece.source = (
            details.source_in(words)
            if words.find(re.compile(r"\b(?:manual|handbook|book|page|p|drawing|data sheet)\b"))
            else None
        )
    piece.weight = details.weight_in(words)
    for _ in range(_FLUIDS):  # a litre of water and some oil
        spill = spill_in(words, fluid)
        if spill is not None:
            piece.spills.append(spill)
    remark = details.remark_in(words)
    if remark is not None:
        piece.remarks.append(remark)
    placed = Words(words.tokens)
    position = details.place_in(placed)
    if position is None or not _sits_there(position.words, placed):
        piece.position, words.tokens = position, placed.tokens


def _sits_there(words: str, rest: Words) -> bool:
    """``thermal paste underneath``: where a thing sits, and not where the work was done from."""
    said = [one.norm for one in rest.tokens if one.norm != HOLE]
    things = any(one.isalpha() and one not in vocabulary.little() for one in said)
    if "from" in words.casefold() or not things or any(one[:1].isdigit() for one in said):
        return False
    return not joints_in(Words(rest.tokens)) and act_in(Words(rest.tokens)) is None
