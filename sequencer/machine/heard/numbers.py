"""Numbers as people say them: in words, halves, sizes in the plural, parts of an inch."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from sequencer.machine.heard.tokens import Token
from sequencer.machine.trade.kinds import kind_words
from sequencer.machine.trade.tables import table


def numbers_in(tokens: list[Token]) -> Iterator[Token]:
    """Tokens, those that say one number as one: twenty five, inch and a sixteenth."""
    place, last_number = 0, False
    while place < len(tokens):
        found = (
            _beyond_an_inch(tokens, place)
            or _fraction(tokens, place)
            or _sorted(tokens, place)
            or (None if _one_of_a_part(tokens, place) else _number(tokens, place))
        )
        if found is None and _one_of_a_part(tokens, place):
            yield from (Token("1", tokens[place].raw), Token("x", ""))
            place, last_number = place + 1, False
        elif found is None and _run_together(tokens, place):
            norm = tokens[place].norm
            yield from (Token(norm[0], tokens[place].raw), Token(norm[1:], ""))
            place, last_number = place + 1, True
        elif found is None and tokens[place].norm.isdecimal() and _halved(tokens, place):
            yield Token(f"{tokens[place].norm}.5", raw_of(tokens, place, 4))
            place, last_number = place + 4, True
        elif found is None:
            yield tokens[place]
            last_number = tokens[place].norm.isdigit()
            place += 1
        else:
            token, length = found
            if token.norm.isdecimal() and _halved(tokens, place + length - 1):
                token, length = Token(f"{token.norm}.5", raw_of(tokens, place, length + 3)), length + 3
            if token.norm.endswith("in") and last_number:
                yield Token("x", "")
            yield token
            last_number = token.norm.isdigit()
            place += length


def _one_of_a_part(tokens: list[Token], place: int) -> bool:
    """``one 9/16 inch bolt``: one of them, and no inch and nine sixteenths."""
    beyond = place + 3 if norm_at(tokens, place + 2) in ("in", "mm") else place + 2
    mixed = _MIXED.fullmatch(norm_at(tokens, place + 1))
    return norm_at(tokens, place) == "one" and mixed is not None and norm_at(tokens, beyond) in kind_tokens()


_TOGETHER = re.compile(r"[2-9](?:10|1[1-9]|2\d|3[0-6])")


def _run_together(tokens: list[Token], place: int) -> bool:
    """``613 mil bolts``: six with heads of 13."""
    sized = norm_at(tokens, place + 1) == "mm" and norm_at(tokens, place + 2) in kind_tokens()
    return sized and _TOGETHER.fullmatch(norm_at(tokens, place)) is not None


def _halved(tokens: list[Token], place: int) -> bool:
    """``4 and a half``."""
    return [norm_at(tokens, place + n) for n in (1, 2, 3)] == ["and", "a", "half"]


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
        if norm == "half" and following == "a" and norm_at(tokens, place + 2) == "dozen":
            return Token("6", raw_of(tokens, place, 3)), 3
        if following not in ("dozen", "couple", "pair", "hundred", "single"):
            return None
        place += 1
    first = _value(tokens, place)
    if first is None:
        return None
    word = tokens[place].norm
    place += 1
    if word in ("couple", "pair", "dozen") and norm_at(tokens, place) == "of":
        place += 1
    total = first
    if word == "hundred" or (first < 10 and norm_at(tokens, place) == "hundred"):
        total, place = (100, place) if word == "hundred" else (first * 100, place + 1)
        joined = place + 1 if norm_at(tokens, place) == "and" else place
        rest = _value(tokens, joined)
        if rest is not None and rest < 100 and tokens[joined].norm not in ("couple", "pair", "both", "dozen"):
            total, place = total + rest, joined + 1
            first = rest
    if 20 <= first < 100 and first % 10 == 0 and (sizes := _sizes(tokens, place)):
        return Token(f"{total + sizes}s", raw_of(tokens, start, place + 1 - start)), place + 1 - start
    unit = _unit(tokens, place) if 20 <= first < 100 and first % 10 == 0 else None
    if unit:
        total, place = total + unit, place + 1
    norm = str(total)
    if norm_at(tokens, place) == "point":
        digit = _value(tokens, place + 1)
        digit = digit if digit is not None else _plain_digit(tokens, place + 1)
        if digit is not None and digit < 10:
            norm, place = f"{norm}.{digit}", place + 2
    return Token(norm, raw_of(tokens, start, place - start)), place - start


def _sorted(tokens: list[Token], place: int) -> tuple[Token, int] | None:
    """``4 pozi twos``, ``2 hex threes``: several of that size of a sort."""
    sorts = ("tee", "allen", "hex", "torx", "phillips", "pozidriv", "cross", "ph", "pz", "t")
    size = (
        (_sizes(tokens, place) or _tens(tokens, place)) if place and tokens[place - 1].norm in sorts else None
    )
    return (Token(f"{size}s", tokens[place].raw), 1) if size else None


def _tens(tokens: list[Token], place: int) -> int | None:
    """``thirties`` of ``T thirties``."""
    ten: int | None = table("heard")["numbers"].get(re.sub("ies$", "y", norm_at(tokens, place)))
    return ten if norm_at(tokens, place).endswith("ies") else None


def _sizes(tokens: list[Token], place: int) -> int | None:
    """The unit of ``twenty fives``: several of that size."""
    norm = norm_at(tokens, place)
    single = "six" if norm == "sixes" else norm.removesuffix("s")
    unit: int | None = table("heard")["numbers"].get(single)
    return unit if norm != single and unit is not None and 0 < unit < 10 else None


def _unit(tokens: list[Token], place: int) -> int | None:
    """The unit behind a ten: ``twenty five``, and at the end ``twenty for``."""
    unit = _value(tokens, place)
    if unit is None and not norm_at(tokens, place + 1).isalnum():
        heard = table("heard")["homophones"].get(norm_at(tokens, place))
        return int(heard) if heard else None
    paired = norm_at(tokens, place) in ("couple", "pair", "both")
    return unit if unit is not None and 0 < unit < 10 and not paired else None


def _plain_digit(tokens: list[Token], place: int) -> int | None:
    norm = norm_at(tokens, place)
    return int(norm) if norm.isdecimal() and norm.isascii() else None


def _fraction(tokens: list[Token], place: int) -> tuple[Token, int] | None:
    """``half inch``, ``nine sixteenths``, ``three quarter inch``: a part of an inch, with its unit."""
    below = table("heard")["parts_of_an_inch"]
    start, top = place, 1
    if norm_at(tokens, place) in ("a", "an"):
        return None
    value = _value(tokens, place) or _plain_digit(tokens, place)
    if value and _is_top(value, norm_at(tokens, place + 1)):
        top, place = value, place + 1
    norm = norm_at(tokens, place)
    if norm not in below:
        return None
    inch = place + 1
    if norm_at(tokens, inch) in ("a", "an"):
        inch += 1
    has_unit = norm_at(tokens, inch) in ("in", '"') and (inch > place + 1 or _inch_meant(tokens, inch))
    if not has_unit and "sixteenth" not in norm and not (norm.startswith("eighth") and place > start):
        return None
    end = inch + 1 if has_unit else place + 1
    return Token(f"{top}/{below[norm]}in", raw_of(tokens, start, end - start)), end - start


_MIXED = re.compile(r"(\d{1,2}/(?:4|8|16|32)|1/2)(?:in|\")?")


def _beyond_an_inch(tokens: list[Token], place: int) -> tuple[Token, int] | None:
    """``inch and a sixteenth``, ``one and a quarter inch``, ``nut 1 1/16``: an inch and a part of one."""
    start, first = place, norm_at(tokens, place)
    if (
        first in ("an", "a", "1", "one")
        and norm_at(tokens, place + 1) == "in"
        and raw_of(tokens, place + 1, 1) != "in"
    ):
        place += 1
        first = "in"
    below = table("heard")["parts_of_an_inch"]
    if first in ("in", "1", "one") and [norm_at(tokens, place + n) for n in (1, 2)] == ["and", "a"]:
        part = norm_at(tokens, place + 3)
        end = place + 5 if norm_at(tokens, place + 4) == "in" else place + 4
        told = first == "in" or end == place + 5 or part.startswith(("sixteenth", "eighth"))
        if part in below and told and not (part == "half" and first != "in" and end == place + 4):
            return Token(f"1-1/{below[part]}in", raw_of(tokens, start, end - start)), end - start
    if first in ("1", "one") and [norm_at(tokens, place + n) for n in (1, 2)] == ["and", "one"]:
        part = norm_at(tokens, place + 3)
        end = place + 5 if norm_at(tokens, place + 4) == "in" else place + 4
        if part in below and part != "half":
            return Token(f"1-1/{below[part]}in", raw_of(tokens, start, end - start)), end - start
    mixed = _MIXED.fullmatch(norm_at(tokens, place + 1)) if first in ("1", "one") else None
    if mixed is None or _one_of_a_part(tokens, place):
        return None
    top, bottom = map(int, mixed[1].split("/"))
    behind_kind = place > 0 and tokens[place - 1].norm in kind_tokens()
    if behind_kind or top * 4 < bottom:  # no spanner is so small
        return Token(f"1-{mixed[1]}in", raw_of(tokens, start, 2)), 2
    return None


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
    return tokens[place].raw.casefold() != "in" or norm_at(tokens, place + 1) not in ("the", "a", "it", "my")


def norm_at(tokens: list[Token], place: int) -> str:
    """A token as it is read; empty beyond the end."""
    return tokens[place].norm if place < len(tokens) else ""


def raw_of(tokens: list[Token], start: int, length: int) -> str:
    """Tokens as they were said."""
    return " ".join(one.raw for one in tokens[start : start + length] if one.raw)


@cache
def kind_tokens() -> frozenset[str]:
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
