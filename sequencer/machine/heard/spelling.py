"""What was meant by what was typed or dictated: numbers as words, words taken for others, typos."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import cache

from sequencer.machine.heard.near import distance
from sequencer.machine.heard.tokens import Token
from sequencer.machine.trade.kinds import kind_words
from sequencer.machine.trade.tables import table


def mended(tokens: list[Token], names: Collection[str] = (), verbs: Collection[str] = ()) -> list[Token]:
    """Tokens with their meaning: ``too boltz nine sixteenths`` is ``2 bolts 9/16 in``.

    Args:
        tokens: As they were said.
        names: Words of names that are known, which are nobody's typos.
        verbs: Other words that a token may have been meant for, wherever it stands.
    """
    spelt = list(_numbers(list(_typos(_respelt(tokens), names, verbs))))
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


@cache
def _before_number() -> dict[str, list[str]]:
    return {written: meant.split() for written, meant in table("heard")["before_number"].items()}


def _digit_follows(tokens: list[Token], place: int) -> bool:
    """A number follows that is no torque: ``torques 30``."""
    return (
        place < len(tokens)
        and (tokens[place].norm[0].isdigit() or tokens[place].norm in table("heard")["numbers"])
        and _norm(tokens, place + 1)[:2] not in ("nm", "n.", "ne", "ft", "lb", "fo")
    )


# ---- Numbers ----


def _numbers(tokens: list[Token]) -> Iterator[Token]:
    place, last_number = 0, False
    while place < len(tokens):
        found = _fraction(tokens, place) or _sorted(tokens, place) or _number(tokens, place)
        if found is None and tokens[place].norm.isdecimal() and _halved(tokens, place):
            yield Token(f"{tokens[place].norm}.5", _raw(tokens, place, 4))
            place, last_number = place + 4, True
        elif found is None:
            yield tokens[place]
            last_number = tokens[place].norm.isdigit()
            place += 1
        else:
            token, length = found
            if token.norm.isdecimal() and _halved(tokens, place + length - 1):
                token, length = Token(f"{token.norm}.5", _raw(tokens, place, length + 3)), length + 3
            if token.norm.endswith("in") and last_number:
                yield Token("x", "")
            yield token
            last_number = token.norm.isdigit()
            place += length


def _halved(tokens: list[Token], place: int) -> bool:
    """``4 and a half``."""
    return [_norm(tokens, place + n) for n in (1, 2, 3)] == ["and", "a", "half"]


def _value(tokens: list[Token], place: int) -> int | None:
    """The number that one token says."""
    norm = tokens[place].norm if place < len(tokens) else ""
    if norm == "one" and place > 0 and tokens[place - 1].norm in table("heard")["no_count_behind"]:
        return None
    after = tokens[place + 1].norm if place + 1 < len(tokens) else ""
    if norm == "one" and after in table("heard")["no_count_before"]:
        return None
    if norm == "both" and after in ("sides", "ends", "hands", "of"):
        return None
    number: int | None = table("heard")["numbers"].get(norm)
    return number


def _number(tokens: list[Token], place: int) -> tuple[Token, int] | None:
    """A number in words, ``a couple of`` too, and how many tokens it takes."""
    norm = tokens[place].norm
    start = place
    if norm in ("a", "the", "half") and place + 1 < len(tokens):
        following = tokens[place + 1].norm
        if norm == "half" and following == "a" and _norm(tokens, place + 2) == "dozen":
            return Token("6", _raw(tokens, place, 3)), 3
        if following not in ("dozen", "couple", "pair", "hundred", "single"):
            return None
        place += 1
    first = _value(tokens, place)
    if first is None:
        return None
    word = tokens[place].norm
    place += 1
    if word in ("couple", "pair", "dozen") and _norm(tokens, place) == "of":
        place += 1
    total = first
    if word == "hundred" or (first < 10 and _norm(tokens, place) == "hundred"):
        total, place = (100, place) if word == "hundred" else (first * 100, place + 1)
        joined = place + 1 if _norm(tokens, place) == "and" else place
        rest = _value(tokens, joined)
        if rest is not None and rest < 100 and tokens[joined].norm not in ("couple", "pair", "both", "dozen"):
            total, place = total + rest, joined + 1
            first = rest
    if 20 <= first < 100 and first % 10 == 0 and (sizes := _sizes(tokens, place)):
        return Token(f"{total + sizes}s", _raw(tokens, start, place + 1 - start)), place + 1 - start
    unit = _unit(tokens, place) if 20 <= first < 100 and first % 10 == 0 else None
    if unit:
        total, place = total + unit, place + 1
    norm = str(total)
    if _norm(tokens, place) == "point":
        digit = _value(tokens, place + 1)
        digit = digit if digit is not None else _plain_digit(tokens, place + 1)
        if digit is not None and digit < 10:
            norm, place = f"{norm}.{digit}", place + 2
    return Token(norm, _raw(tokens, start, place - start)), place - start


def _sorted(tokens: list[Token], place: int) -> tuple[Token, int] | None:
    """``4 pozi twos``, ``2 hex threes``: several of that size of a sort."""
    sorts = ("tee", "allen", "hex", "torx", "phillips", "pozidriv", "cross", "ph", "pz", "t")
    size = (
        (_sizes(tokens, place) or _tens(tokens, place)) if place and tokens[place - 1].norm in sorts else None
    )
    return (Token(f"{size}s", tokens[place].raw), 1) if size else None


def _tens(tokens: list[Token], place: int) -> int | None:
    """``thirties`` of ``T thirties``."""
    ten: int | None = table("heard")["numbers"].get(re.sub("ies$", "y", _norm(tokens, place)))
    return ten if _norm(tokens, place).endswith("ies") else None


def _sizes(tokens: list[Token], place: int) -> int | None:
    """The unit of ``twenty fives``: several of that size."""
    norm = _norm(tokens, place)
    single = "six" if norm == "sixes" else norm.removesuffix("s")
    unit: int | None = table("heard")["numbers"].get(single)
    return unit if norm != single and unit is not None and 0 < unit < 10 else None


def _unit(tokens: list[Token], place: int) -> int | None:
    """The unit behind a ten: ``twenty five``, and at the end ``twenty for``."""
    unit = _value(tokens, place)
    if unit is None and not _norm(tokens, place + 1).isalnum():
        heard = table("heard")["homophones"].get(_norm(tokens, place))
        return int(heard) if heard else None
    paired = _norm(tokens, place) in ("couple", "pair", "both")
    return unit if unit is not None and 0 < unit < 10 and not paired else None


def _plain_digit(tokens: list[Token], place: int) -> int | None:
    norm = _norm(tokens, place)
    return int(norm) if norm.isdecimal() and norm.isascii() else None


def _fraction(tokens: list[Token], place: int) -> tuple[Token, int] | None:
    """``half inch``, ``nine sixteenths``, ``three quarter inch``: a part of an inch, with its unit."""
    below = table("heard")["parts_of_an_inch"]
    start, top = place, 1
    if _norm(tokens, place) in ("a", "an"):
        return None
    value = _value(tokens, place) or _plain_digit(tokens, place)
    if value and _is_top(value, _norm(tokens, place + 1)):
        top, place = value, place + 1
    norm = _norm(tokens, place)
    if norm not in below:
        return None
    inch = place + 1
    if _norm(tokens, inch) in ("a", "an"):
        inch += 1
    has_unit = _norm(tokens, inch) in ("in", '"') and (inch > place + 1 or _inch_meant(tokens, inch))
    if not has_unit and "sixteenth" not in norm and not (norm.startswith("eighth") and place > start):
        return None
    end = inch + 1 if has_unit else place + 1
    return Token(f"{top}/{below[norm]}in", _raw(tokens, start, end - start)), end - start


def _is_top(value: int, part: str) -> bool:
    """``three quarter``, ``nine sixteenths``; in ``two half inch bolts`` the two is a count."""
    below = table("heard")["parts_of_an_inch"].get(part)
    if below is None or value >= below or part == "half":
        return False
    return bool(
        part.endswith("s") or value == 1 or (part == "quarter" and value == 3) or (value % 2 and value > 2)
    )


def _inch_meant(tokens: list[Token], place: int) -> bool:
    """``in`` is a unit where it was written ``inch``, or where no article follows."""
    return tokens[place].raw.casefold() != "in" or _norm(tokens, place + 1) not in ("the", "a", "it", "my")


def _norm(tokens: list[Token], place: int) -> str:
    return tokens[place].norm if place < len(tokens) else ""


def _raw(tokens: list[Token], start: int, length: int) -> str:
    return " ".join(one.raw for one in tokens[start : start + length] if one.raw)


@cache
def _plurals() -> frozenset[str]:
    """Kinds in the plural, of one word."""
    return frozenset(word for word in _kind_tokens() if word.endswith("s") and len(word) > 3)


@cache
def _leading_words() -> frozenset[str]:
    """Words that stand before a kind: wing nuts, long bolts."""
    phrases = (*kind_words(), *table("heard")["spoken_kinds"])
    return frozenset(word for phrase in phrases for word in phrase.split()[:-1]) | {
        *table("heard")["adjectives"]
    }


def _homophones(tokens: list[Token]) -> Iterator[Token]:
    """``to nuts``, ``for bolts ten``: a number that dictation wrote as another word."""
    for place, one in enumerate(tokens):
        meant = table("heard")["homophones"].get(one.norm)
        following = _norm(tokens, place + 1)
        wide = following in _leading_words() and _norm(tokens, place + 2) in _plurals()
        beyond = place + 3 if _norm(tokens, place + 2) == "mm" else place + 2
        sized = re.match(r"\d|t\d|ph\d|m\d", following) and _norm(tokens, beyond) in _plurals()
        before = _norm(tokens, place - 1) if place else ""
        marked = before in ("ph", "pz", "m") and not following.isalnum()
        too = one.norm == "too" and re.match(r"\d|t\d|ph\d|pz\d|litres", following) is not None
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
        last = not _norm(found, place + 2).isalnum()
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
        last = _norm(found, place + 3) in ("", ",", ".", ";", ":")
        if few and last and off.norm == "off" and kind.norm in _kind_tokens():
            found[place : place + 3] = [number, kind, replace(off, norm="of"), Token("them", "")]
    return found


def _socketed(tokens: list[Token]) -> Iterator[Token]:
    """``hex 5``: so small a hexagon is that of a key; bigger ones are heads for a spanner."""
    sizes = table("heard")["key_sizes"]
    for place, one in enumerate(tokens):
        small = one.norm == "hex" and _norm(tokens, place + 1).removesuffix("s").removesuffix("mm") in sizes
        yield replace(one, norm="allen") if small else one


# ---- Typos ----


@cache
def _kind_tokens() -> frozenset[str]:
    """The words of kinds, in singular and plural, and of heads that people spell out."""
    phrases = (*kind_words(), *table("heard")["spoken_kinds"])
    words = {word for phrase in phrases if len(word := re.split("[ -]", phrase)[-1]) > 2}
    plurals = {
        f"{word}es" if word.endswith(("ch", "x", "sh")) else f"{word}s"
        for word in words
        if not word.endswith("s")
    }
    return frozenset(
        words | plurals | {"torx", "allen", "phillips", "pozidriv", "slotted", "spanner", "newton", "metres"}
    )


def _typos(tokens: list[Token], names: Collection[str], verbs: Collection[str]) -> Iterator[Token]:
    """A word behind a number is a kind, one behind a kind a number: the one that it nearly is."""
    numbers = table("heard")["numbers"]
    guarded = {*table("heard")["not_typos"]["words"], *numbers, *names, *verbs, *_kind_tokens()}
    counted = kind = False
    for one in tokens:
        near = None
        if one.norm.isalpha() and len(one.norm) > 3 and one.norm not in guarded:
            near = _nearest_verb(one.norm, verbs)
            near = near or (_nearest(one.norm, [*numbers], 1) if kind and len(one.norm) > 4 else None)
            near = near or _nearest(one.norm, _kind_tokens(), _slips(one.norm, counted=counted))
        read = replace(one, norm=near) if near else one
        yield read
        kind = read.norm in _kind_tokens()
        said = read.norm[0].isdigit() or read.norm in numbers
        counted = said or (counted and read.norm in ("mm", "x"))


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
