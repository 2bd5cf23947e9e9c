"""Which part a clause names, and what in it is only a remark."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.tokens import HOLE, Token, Words, said
from sequencer.machine.trade.tables import table
from sequencer.spoken import details, vocabulary
from sequencer.spoken.clause import Piece
from sequencer.spoken.names import known_name, name_in, only_adjectives, trimmed
from sequencer.spoken.patterns import lines, word_pattern
from sequencer.spoken.values import Act, Heard, Name


def find_name(piece: Piece, words: Words, parts: Mapping[str, str], *, first: bool) -> None:
    """The part that the rest of the clause names; what is left is kept."""
    runs = [run for run in words.runs() if trimmed(run)]
    if (
        piece.act is None
        and not (first and piece.way_of and _thing(runs))
        and _remark(piece, words, runs, parts, first=first)
    ):
        return
    owning = (*_OWNING, "for") if piece.figure is not None else _OWNING
    owned = [run for run in runs if run[0].norm in owning]
    names = [run for run in runs if run[0].norm not in (*owning, *_PLACING)]
    alone = bool(piece.joints and piece.act and piece.act.alone)
    if piece.act is not None and piece.act.alone and not piece.joints and piece.act.act is Act.OFF:
        owned, names = [], []  # slid off the splines: where, not what
    for run in [*names, *owned]:
        if piece.act is not None and piece.act.object_first and (way := _way_in(run)):
            runs[runs.index(run)] = run[:way]
            runs.append(run[way:])
            run = run[:way]  # noqa: PLW2901
        left_over = piece.act is not None and piece.act.act is Act.LEFT_OVER
        if (
            piece.name is not None
            or left_over
            or only_adjectives(run)
            or not (piece.act or first or run in owned)
        ):
            continue
        before_verb = piece.act is not None and not (piece.act.object_first or piece.act.alone)
        name, spot = _name_of(_without_count(piece, run), parts, whole=before_verb)
        if name is not None:
            piece.name = name
            piece.owner = name if run in owned or alone else None
            piece.spot = spot
            runs.remove(run)
    _handed(piece, runs, parts)
    piece.rest = [*piece.rest, *(_kept(run) for run in runs)]
    _unsure(piece, words, runs)


def _unsure(piece: Piece, words: Words, runs: list[list[Token]]) -> None:
    """Words beside what was read that may be more than a remark."""
    off = piece.act is None or piece.act.act is Act.OFF
    runs = [run for run in runs if not _trails(run, words, piece)]
    odd = [run for run in runs if not _harmless(run) or (off and run[0].norm in ("into", "onto"))]
    if odd and (piece.act is not None or piece.joints or piece.name is not None):
        piece.unsure = said(odd[0])


def _handed(piece: Piece, runs: list[list[Token]], parts: Mapping[str, str]) -> None:
    """``head lamp out left``: the side belongs to its name."""
    name, side = (
        piece.name,
        next((one for one in runs if [t.norm for t in one] in (["left"], ["right"])), None),
    )
    if side is None or name is None or name.key is not None or piece.act is None or piece.joints:
        return
    if not {"left", "right"} & {*name.label.casefold().split()}:
        named = known_name(f"{side[0].norm} {name.label}", parts)
        piece.name = replace(named, words=f"{name.words} {side[0].norm}")
        runs.remove(side)


_WAY = re.compile(
    r" (?:across|over|round|around|along|back|together|forwards?|backwards?|sideways)"
    r"(?: (?:to|with|towards|onto|into|a) .*)?$"
)


def _way_in(run: list[Token]) -> int:
    """Where words begin behind a name that tell whither it went: the box | across to the right."""
    text = " ".join(one.norm for one in run)
    match = _WAY.search(text)
    return len(text[: match.start()].split()) if match else 0


def _thing(runs: list[list[Token]]) -> bool:
    """What is left of the clause is the name of a thing, and nothing is said of it."""
    return bool(runs) and vocabulary.is_thing(said(trimmed(runs[0])))


def _without_count(piece: Piece, run: list[Token]) -> list[Token]:
    """``nut plate screws 3``: the number counts or sizes them and is no part of the name."""
    ends = lexemes(" ".join(one.norm for one in run))[-2:]
    if piece.bare is not None or [one.sort for one in ends] != [Is.KIND, Is.NUMBER] or len(run) < _NAMED:
        return run
    piece.bare = run[-1].norm
    return run[:-1]


_NAMED = 3
"""Words of a name with its kind and a number."""


def _kept(run: list[Token]) -> str:
    """Words as they are kept: a remark whole, of a name or two without what is no part of it."""
    if len(run) < _SEVERAL and run[0].raw.casefold() not in ("both", "all"):
        return said(run[run.index(trimmed(run)[0]) :])  # pressed on
    return said(run[1:] if run[0].norm in ("and", "but") else run)


_GOING_ON = (
    "1",
    "one",
    "long",
    "short",
    "longer",
    "shorter",
    "still",
    "all",
    "same",
    "it",
    "they",
    "some",
    "needs",
)
"""Words that go on from a joint with its size, and that the number before them can't count."""


def _trails(run: list[Token], words: Words, piece: Piece) -> bool:
    """Several words behind all that was read: a remark, which is kept. One or two may be another joint.

    So may what stands behind a number: ``2 screws slotted 3 wires``.
    """
    last = words.tokens[-len(run) :] == run and len(words.tokens) > len(run)
    listed = run[0].norm == "and" and [one.norm for one in run[1:2]] not in (["it"], ["they"], ["that"])
    numbered = bool(piece.joints) and piece.joints[-1].said[-1:].isdigit()
    numbered = numbered and run[0].norm not in ("and", *_GOING_ON, *_PLACING)
    return (
        last
        and len(run) >= _SEVERAL
        and not (numbered or listed)
        and not any(sign.isdigit() for one in run for sign in one.norm)
    )


_SEVERAL = 3


def _harmless(run: list[Token]) -> bool:
    """Words that tell where, how or in which state: kept, and nothing more to ask about."""
    if run[0].norm in (*_PLACING, *_OWNING, "the", "its", "after", "while"):
        return True
    words = [one.norm for one in trimmed(run)]
    known = (*table("heard")["adjectives"], *lines()["harmless"])
    return all(one in known for one in words) or _is_remark(" ".join(words))


_OWNING = ("of", "from", "on", "off")
"""Words before the part that joints belong to: two bolts of the bracket."""

_PLACING = (
    "in",
    "at",
    "behind",
    "under",
    "into",
    "along",
    "by",
    "with",
    "to",
    "above",
    "below",
    "beside",
    "near",
    "inside",
    "through",
    "over",
    "between",
    "around",
    "without",
    "onto",
    "for",
    "its",
    "their",
    "each",
)
"""Words that begin anything but a name."""


_PLACING_INSIDE = frozenset(_PLACING) - {
    "between",
    "to",
    "for",
    "its",
    "their",
    "each",
    "over",
    "by",
    "near",
    "through",
    "under",
}
"""Those of them that a name does not have inside: pipe to the tank, by-pass, under-tray are names."""


def _name_of(
    run: list[Token], parts: Mapping[str, str], *, whole: bool
) -> tuple[Name | None, Heard[str] | None]:
    """The name that a run is, and where the thing sits, where that is no part of the name.

    What is known goes first, with or without its place. Of what is new all that stands before the verb is its
    name: ``water pipe behind the block off`` is told from another water pipe by it.
    """
    all_of_it = name_in(run, parts)
    if all_of_it is not None and all_of_it.key is not None:
        return all_of_it, None
    here, spot = _without_spot(run)
    name = name_in(here, parts)
    known = name is not None and name.key is not None
    placed = whole and not known and bool(spot and trimmed(run[len(here) + 1 :]))
    return (all_of_it, None) if placed and all_of_it is not None else (name, spot)


def _without_spot(run: list[Token]) -> tuple[list[Token], Heard[str] | None]:
    """A run without where the thing sits: ``top hose at the radiator end``."""
    if run[0].norm in _OWNING:
        return run, None
    inner = Words(run)
    spot = details.spot_in(inner)
    left = [one for one in inner.tokens if one.norm != HOLE]
    place = next((place for place, one in enumerate(left) if place and one.norm in _PLACING_INSIDE), None)
    if spot is None and place is not None:
        words = said(left[place:])
        return left[:place], Heard(words, words)
    return left, spot


def _remark(
    piece: Piece, words: Words, runs: list[list[Token]], parts: Mapping[str, str], *, first: bool
) -> bool:
    """A clause without an act that tells how things are: kept, whole where nothing was counted or sized."""
    known = name_in(_all(runs), parts) if runs else None
    if known is not None and known.key is not None:
        return False
    firm = [
        one
        for one in piece.joints
        if one.counted or one.head is not None or one.thread or one.tool or one.doubts
    ]
    wanting = _WANTING.search(words.text)
    told = any(one.counted for one in piece.joints) and wanting and HOLE in words.text[: wanting.start()]
    if wanting and not told and not piece.remarks:
        piece.joints, piece.bare, piece.tool = [], None, None
        piece.rest = [piece.text]
        return True
    listed = len(piece.joints) > 1 and len(runs) == 1
    vague = (
        bool(piece.joints) and not firm and bool(runs) and (first or _BEYOND.search(words.text) is not None)
    )
    said_of_it = any(one.counted or one.head is not None or one.thread for one in piece.joints)
    tells = _PREDICATE.search(piece.text.casefold()) is not None and not said_of_it
    if tells and piece.joints:
        firm = []
    if not _is_remark(words.text) and not tells and (not vague or (first and listed)):
        return False
    hard = bool(firm or piece.bare or piece.figure or piece.spills)
    if first and firm and runs and not _is_remark(" ".join(one.norm for one in runs[0])):
        return False
    if hard or piece.remarks:
        piece.rest = [said(run) for run in runs]
        return True
    piece.joints = []
    piece.rest = [piece.text] if runs or words.text.replace(HOLE, "").strip() else []
    return bool(piece.rest)


_WANTING = re.compile(r"\b(?:needs|takes|wants|requires)\b")
"""It says what is needed, not what was done."""

_BEYOND = re.compile(rf"{HOLE} (?!(?:{'|'.join(_PLACING)}|of|from|on|off|and)\b)(?!{HOLE})\w")
"""Words that go on behind a joint."""

_PREDICATE = re.compile(
    r"^(?:the |1 |one |each |all |both |they |these |those |this |that |it |my |its )*"
    r"[\w -]*?\b(?:is|are|was|were|goes|go|has|have|had|looks|seems|sits|comes)\b"
)


def _all(runs: list[list[Token]]) -> list[Token]:
    return [one for run in runs for one in run]


def _is_remark(text: str) -> bool:
    return word_pattern("remarks").search(text) is not None
