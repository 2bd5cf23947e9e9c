"""What was meant by what was typed or dictated: numbers as words, words taken for others, typos."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import cache

from sequencer.machine.heard.lexemes import SIZE_WORDS
from sequencer.machine.heard.near import distance
from sequencer.machine.heard.numbers import kind_tokens, norm_at, numbers_in
from sequencer.machine.heard.shortened import in_full
from sequencer.machine.heard.tokens import Token
from sequencer.machine.trade.heads import head_words
from sequencer.machine.trade.kinds import kind_words
from sequencer.machine.trade.tables import table


def mended(tokens: list[Token], names: Collection[str] = (), verbs: Collection[str] = ()) -> list[Token]:
    """Tokens with their meaning: ``too boltz nine sixteenths`` is ``2 bolts 9/16 in``.

    Args:
        tokens: As they were said.
        names: Words of names that are known, which are nobody's typos.
        verbs: Other words that a token may have been meant for, wherever it stands.
    """
    spelt = list(numbers_in(list(_typos(_respelt(tokens), names, verbs))))
    return list(_socketed(_off(_poled(_tool_first(list(_homophones(spelt)))))))


@cache
def _spellings() -> dict[tuple[str, ...], list[str]]:
    return {tuple(written.split()): meant.split() for written, meant in table("heard")["spelling"].items()}


@cache
def _longest_spelling() -> int:
    return max(len(one) for one in _spellings())


def _respelt(tokens: list[Token]) -> list[Token]:
    """Words that stand for others by the table; the longest that fits."""
    found: list[Token] = []
    place = 0
    while place < len(tokens):
        for length in range(min(_longest_spelling(), len(tokens) - place), 0, -1):
            piece = tokens[place : place + length]
            meant = _spellings().get(tuple(one.norm for one in piece))
            if length == 1 and _ends(tokens, place):
                meant = _AT_THE_END.get(piece[0].norm, meant)
            if length == 1 and piece[0].norm == "n" and _between_words(tokens, place):
                meant = ["and"]
            if meant is None and length == 1 and _digit_follows(tokens, place + 1):
                meant = _before_number().get(piece[0].norm)
            if meant is not None:
                raw = " ".join(one.raw for one in piece)
                found += [Token(word, raw if number == 0 else "") for number, word in enumerate(meant)]
                place += length
                break
        else:
            found.append(tokens[place])
            place += 1
    return found


_AT_THE_END = {"of": ["off"], "star": ["torx"]}
"""What a word stands for at the end of its clause: took the rear mudguard of."""


def _ends(tokens: list[Token], place: int) -> bool:
    """It ends its clause, and no number is before it: two of."""
    before = tokens[place - 1].norm if place else ""
    number = before[:1].isdigit() or before in table("heard")["numbers"]
    return norm_at(tokens, place + 1) in ("", ",", ".", ";", ":") and place > 0 and not number


def _between_words(tokens: list[Token], place: int) -> bool:
    """``screws n clips``; not the N of ``25 N m``."""
    before = tokens[place - 1].norm if place else ""
    return (before.isalnum() or before in (")", "!", ".")) and len(norm_at(tokens, place + 1)) > 1


@cache
def _before_number() -> dict[str, list[str]]:
    return {written: meant.split() for written, meant in table("heard")["before_number"].items()}


def _digit_follows(tokens: list[Token], place: int) -> bool:
    """A number follows that is no torque: ``torques 30``."""
    return (
        place < len(tokens)
        and (tokens[place].norm[0].isdigit() or tokens[place].norm in table("heard")["numbers"])
        and norm_at(tokens, place + 1)[:2] not in ("nm", "n.", "ne", "ft", "lb", "fo")
    )


@cache
def _plurals() -> frozenset[str]:
    """Kinds in the plural, of one word."""
    return frozenset(word for word in kind_tokens() if word.endswith("s") and len(word) > 3)


@cache
def _leading_words() -> frozenset[str]:
    """Words that stand before a kind: wing nuts, long bolts."""
    phrases = (*kind_words(), *table("heard")["spoken_kinds"])
    return frozenset(word for phrase in phrases for word in phrase.split()[:-1]) | {
        *table("heard")["adjectives"]
    }


_MARKED = ("ph", "pz", "m", "allen", "phillips", "pozidriv", "torx", "hex")
"""Words behind which the last word of a clause is a size, however dictation wrote it: allen ate."""


def _homophones(tokens: list[Token]) -> Iterator[Token]:
    """``to nuts``, ``for bolts ten``: a number that dictation wrote as another word."""
    for place, one in enumerate(tokens):
        meant = table("heard")["homophones"].get(one.norm)
        following = norm_at(tokens, place + 1)
        if following in (".", ",") and place and tokens[place - 1].norm in (".", ",", ";", ":"):
            following = norm_at(tokens, place + 2) if norm_at(tokens, place + 2) in _plurals() else following
        wide = following in _leading_words() and norm_at(tokens, place + 2) in _plurals()
        beyond = place + 3 if norm_at(tokens, place + 2) == "mm" else place + 2
        sized = re.match(r"\d|t\d|ph\d|m\d", following) and norm_at(tokens, beyond) in _plurals()
        before = norm_at(tokens, place - 1) if place else ""
        marked = before in _MARKED and not following.isalnum()
        marked = marked or (before == "m" and following in kind_tokens())
        too = one.norm == "too" and re.match(r"\d|t\d|ph\d|pz\d|litres", following) is not None
        too = too or (one.norm == "won" and following in kind_tokens() and not following.endswith("s"))
        counts = following in _plurals() or following == "mm" or sized or wide or too
        if meant and (marked or (counts and not before[:1].isdigit())):
            yield Token(meant, one.raw)
        else:
            yield one


def _poled(tokens: list[Token]) -> list[Token]:
    """``the seven pin plug``: so many poles, and no count or size."""
    found = list(tokens)
    for place in reversed(range(len(found) - 2)):
        number, pole, plug = found[place : place + 3]
        poles = pole.norm in ("pin", "pole", "way", "core") and number.norm.isdecimal()
        if poles and plug.norm.removesuffix("s") in ("plug", "connector", "socket"):
            found[place : place + 2] = [Token("wiring", f"{number.raw} {pole.raw}")]
    return found


def _tool_first(tokens: list[Token]) -> list[Token]:
    """``spanner 19``: a 19 spanner."""
    found = list(tokens)
    for place in range(len(found) - 1):
        tool, size = found[place : place + 2]
        if tool.norm in ("t", "tee") and re.fullmatch(r"\d+s", size.norm):
            found[place : place + 2] = [Token(f"t{size.norm[:-1]}", f"{tool.raw} {size.raw}"), Token("", "")]
            continue
        last = not norm_at(found, place + 2).isalnum()
        if last and tool.norm in ("spanner", "socket", "wrench", "driver") and size.norm.isdecimal():
            start = place
            while start and found[start - 1].norm in table("heard")["tools"]["words"]:
                start -= 1
            found[start : place + 2] = [size, *found[start : place + 1]]
    return found


_MANY_OFF = 6
"""Beyond that, ``bolts 8 off`` may tell a size and that they came off."""


def _off(tokens: list[Token]) -> list[Token]:
    """``collar screw 2 off``: as a list of parts has it, two of them."""
    found = list(tokens)
    for place in reversed(range(len(found) - 2)):
        kind, number, off = found[place : place + 3]
        few = number.norm.isdecimal() and 1 < int(number.norm) <= _MANY_OFF
        behind = norm_at(found, place + 3)
        last = behind in ("", ",", ".", ";", ":")
        headed = off.norm == "of" and behind[:1].isalpha()
        headed = headed and behind not in ("them", "those", "these", "the", "it", "my")
        if few and headed and kind.norm in kind_tokens():
            start = place - 1 if place and found[place - 1].norm in kind_tokens() else place
            found[start : place + 3] = [number, *found[start : place + 1]]  # pinch bolts two of allen 6
        elif few and last and off.norm == "off" and kind.norm in kind_tokens():
            found[place : place + 3] = [number, kind, replace(off, norm="of"), Token("them", "")]
    return found


def _socketed(tokens: list[Token]) -> Iterator[Token]:
    """``hex 5``, ``hex 8``: said so, the hexagon is that of a key; ``hex 13`` is a head for a spanner."""
    heard = table("heard")
    for place, one in enumerate(tokens):
        size = norm_at(tokens, place + 1).removesuffix("s").removesuffix("mm")
        headed = norm_at(tokens, place + 2) in kind_tokens() or norm_at(tokens, place + 2) == "head"
        key = size in heard["key_sizes"] or (size in heard["hex_sizes"] and not headed)
        yield replace(one, norm="allen") if one.norm == "hex" and key else one


# ---- Typos ----


def _typos(tokens: list[Token], names: Collection[str], verbs: Collection[str]) -> Iterator[Token]:
    """A word behind a number is a kind, one behind a kind a number: the one that it nearly is."""
    numbers = table("heard")["numbers"]
    counted = kind = False
    for one in tokens:
        near = None
        if one.norm.isalpha() and not (one.norm in _never_typos() or one.norm in names or one.norm in verbs):
            near = _meant(one.norm, verbs, counted=counted, kind=kind)
            if near is None and one.norm not in _never_short():
                others = (frozenset(verbs), frozenset(names))
                near = in_full(one.norm, _plain_kinds(), others, counted=counted)
        read = replace(one, norm=near) if near else one
        yield read
        kind = read.norm in kind_tokens()
        said = read.norm[0].isdigit() or read.norm in numbers
        counted = said or (counted and read.norm in ("mm", "x"))


def _meant(word: str, verbs: Collection[str], *, counted: bool, kind: bool) -> str | None:
    """What a word was meant for that is a slip or two away."""
    if len(word) <= _SHORTEST:
        return None
    near = _nearest_verb(word, verbs)
    if near is None and kind and len(word) > _SHORTEST + 1:
        near = _nearest(word, [*table("heard")["numbers"]], 1)
    return near or _nearest(word, kind_tokens(), _slips(word, counted=counted))


_SHORTEST = 3
"""Letters of words that are nobody's typos."""


@cache
def _never_typos() -> frozenset[str]:
    """Words of the tables."""
    heard = table("heard")
    sorts = (
        heard["not_typos"]["words"],
        heard["numbers"],
        heard["adjectives"],
        heard["fillers"],
        heard["stops"],
    )
    return kind_tokens().union(*sorts)


@cache
def _never_short() -> frozenset[str]:
    """Words that stand as they are: of tools and heads, and sizes in the plural."""
    tools = table("heard")["tools"]
    return frozenset({*tools["nouns"], *tools["words"], *SIZE_WORDS, *head_words()})


@cache
def _plain_kinds() -> frozenset[str]:
    """Words of kinds that are shortened: no units, no sorts of heads that are long words."""
    return kind_tokens() - {"newton", "metres", "spanner", "connect", "connects", "scrivet", "scrivets"}


def _nearest_verb(word: str, verbs: Collection[str]) -> str | None:
    """The only verb that is one slip away: slackend, unplugd."""
    ended = re.sub(r"(?<=[^e])d$", "ed", word)
    near = (
        ended
        if ended in verbs
        else _nearest(word, verbs, 1) or (_nearest(ended, verbs, 1) if ended != word else None)
    )
    return near if len(word) > 5 else None


def _slips(word: str, *, counted: bool) -> int:
    """How many slips a word may have: behind a number a kind is expected, elsewhere hardly any."""
    if not counted:
        return 1 if len(word) > 6 else 0
    return 2 if len(word) > 6 else 1


def _nearest(word: str, others: Collection[str], allowed: int) -> str | None:
    """The only word that is as near as that; of a singular and a plural, the one of the same number."""
    best: dict[str, int] = {}
    for other in others:
        if abs(len(other) - len(word)) <= allowed and other[0] == word[0]:
            far = distance(word, other, allowed)
            if 0 < far <= allowed:
                best[other] = far
    least = min(best.values(), default=0)
    nearest = [other for other, far in best.items() if far == least]
    if len(nearest) > 1:
        nearest = [other for other in nearest if other.endswith("s") == word.endswith("s")]
    return nearest[0] if len(nearest) == 1 else None
