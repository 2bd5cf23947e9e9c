"""Which part a clause names, and what in it is only a remark."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sequencer.machine.heard.words import HOLE, Token, Words, said
from sequencer.machine.tables import table
from sequencer.spoken import details
from sequencer.spoken.clause import Piece
from sequencer.spoken.names import name_in, trimmed
from sequencer.spoken.patterns import word_pattern
from sequencer.spoken.values import Act, Heard


def find_name(piece: Piece, words: Words, parts: Mapping[str, str], *, first: bool) -> None:
    """The part that the rest of the clause names; what is left is kept."""
    runs = [run for run in words.runs() if trimmed(run)]
    if piece.act is None and _remark(piece, words, runs, parts, first=first):
        return
    owned = [run for run in runs if run[0].norm in _OWNING]
    names = [run for run in runs if run[0].norm not in (*_OWNING, *_PLACING)]
    alone = bool(piece.joints and piece.act and piece.act.alone)
    for run in [*names, *owned]:
        left_over = piece.act is not None and piece.act.act is Act.LEFT_OVER
        if (
            piece.name is not None
            or left_over
            or _adjectives(run)
            or not (piece.act or first or run in owned)
        ):
            continue
        here, spot = _without_spot(run)
        name = name_in(here, parts)
        if name is not None:
            piece.name = name
            piece.owner = name if run in owned or alone else None
            piece.spot = spot
            runs.remove(run)
    piece.rest = [*piece.rest, *(said(trimmed(run)) for run in runs)]


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


def _without_spot(run: list[Token]) -> tuple[list[Token], Heard[str] | None]:
    """A run without where the thing sits: ``top hose at the radiator end``."""
    if run[0].norm in _OWNING:
        return run, None
    inner = Words(run)
    spot = details.spot_in(inner)
    return [one for one in inner.tokens if one.norm != HOLE], spot


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
        if one.counted or one.head is not None or one.thread is not None or one.doubts
    ]
    vague = (
        first
        and bool(piece.joints)
        and not firm
        and bool(runs)
        and not (first and len(runs) == 1 and len(piece.joints) > 1)
    )
    if (
        not _is_remark(words.text)
        and not vague
        and not (_PREDICATE.search(piece.text.casefold()) and not firm)
    ):
        return False
    if firm or piece.bare or piece.figure or piece.spills:
        if first and firm and runs and not _is_remark(" ".join(one.norm for one in runs[0])):
            return False
        piece.rest = [said(run) for run in runs]
        return True
    if piece.remarks:
        piece.rest = [said(run) for run in runs]
        return True
    piece.joints = []
    piece.rest = [piece.text] if runs or words.text.replace(HOLE, "").strip() else []
    return bool(piece.rest)


_PREDICATE = re.compile(
    r"^(?:the |1 |one |each |all |both |they |these |those |this |that |it |my |its )*"
    r"[\w -]*?\b(?:is|are|was|were|goes|go|has|have|had|looks|seems|sits|comes)\b"
)


def _adjectives(tokens: list[Token]) -> bool:
    """Only words like left and upper, which name nothing."""
    words = trimmed(tokens)
    return all(one.norm in (*table("heard")["adjectives"], "and", "side") for one in words)


def _all(runs: list[list[Token]]) -> list[Token]:
    return [one for run in runs for one in run]


def _is_remark(text: str) -> bool:
    return word_pattern("remarks").search(text) is not None
