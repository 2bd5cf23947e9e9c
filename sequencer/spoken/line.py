"""A line, from its clauses to what was done."""

from __future__ import annotations

from dataclasses import replace

from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import Token, Words, tokens_of
from sequencer.spoken import asking, sure, vocabulary
from sequencer.spoken.clauses import clauses
from sequencer.spoken.correcting import correction_in
from sequencer.spoken.likewise import joined_to_same, same_in
from sequencer.spoken.names import doubtful, name_in
from sequencer.spoken.patterns import lines, pattern
from sequencer.spoken.phrasing import rephrased
from sequencer.spoken.piece import read_piece, without_leading
from sequencer.spoken.sure import Doubtful, DoubtReason
from sequencer.spoken.telling import Telling
from sequencer.spoken.values import Before, Context, Line

_NOTHING_KNOWN = Context()


def read(text: str, context: Context = _NOTHING_KNOWN) -> Line:
    """What a line says. It never refuses: what it does not understand is a note.

    Args:
        text: The line, as it was typed or dictated.
        context: What is known already.
    """
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    names = {word for label in context.parts.values() for word in label.casefold().split()}
    names |= vocabulary.known()
    tokens = mended(
        [one for one in tokens_of(plain[:_LONGEST]) if one.norm not in _HESITATING], names, lines()["spelt"]
    )
    tokens = rephrased(without_leading(tokens, lines()["opening"]))
    if not tokens:
        return Line(plain)
    if correction := correction_in(tokens, context):
        if sure.unclear(tokens, correction, context.last):
            correction = replace(correction, changes=())
        return asking.asked(Line(plain, (correction,)), context)
    whole = tokens
    before, tokens = _told_late(tokens, context)
    reading = Telling(context.parts, before)
    for clause in joined_to_same(clauses(tokens)):
        if reading.mended(clause):
            continue
        same = same_in(clause, context.parts)
        if same is not None:
            reading.close()
            reading.said.append(same)
        else:
            reading.take(
                read_piece(
                    clause,
                    context.parts,
                    fluid=reading.fluid,
                    first=reading.nothing_named or reading.goes_on(clause),
                )
            )
    reading.close()
    line = Line(plain, tuple(reading.said), tuple(reading.notes), reading.doubt)
    unsure = [one for one in reading.unsure if line.said and sure.may_be_more(one)]
    doubts = [*sure.doubts(whole, line), *(Doubtful(DoubtReason.NOTE, one) for one in unsure)]
    return asking.asked(line, context, doubts)


_HESITATING = frozenset({"um", "uh", "er", "erm", "uhm", "hm", "mm-hm"})

_LONGEST = 400
"""Nobody says a longer line; what is beyond is cut."""


def _told_late(tokens: list[Token], context: Context) -> tuple[Before | None, list[Token]]:
    """Words that say that it came earlier, and the line without them."""
    words = Words(tokens)
    match = words.find(pattern("order", "part"))
    if match:
        name = name_in(words.within(match.start("what"), match.end("what")), context.parts)
        if name is not None and not doubtful(name) and name.label.casefold() not in ("that", "this"):
            raw = words.cut(match.start(), match.end())
            rest = [one for one in words.tokens if one.norm != "¦"]
            return Before(raw, name), rest
    match = words.find(pattern("order", "last")) or words.find(pattern("order", "then"))
    if match and match[0] != words.text:
        raw = words.cut(match.start(), match.end())
        return Before(raw), [one for one in words.tokens if one.norm != "¦"]
    return None, tokens
