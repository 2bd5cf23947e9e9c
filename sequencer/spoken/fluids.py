"""Fluids, and how much of them was drained or came out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from sequencer.machine.heard.fluids import amount_pattern, fluid_words, litres_of
from sequencer.machine.heard.tokens import Words, any_of
from sequencer.spoken import vocabulary
from sequencer.spoken.names import known_name
from sequencer.spoken.patterns import lines
from sequencer.spoken.values import Act, Did, Said, Spill


@cache
def _fluid() -> str:
    return rf"(?P<fluid>{any_of(fluid_words())})(?![a-z])"


@cache
def _spilt() -> tuple[re.Pattern[str], ...]:
    amount, came = f"(?P<amount>{amount_pattern()})", lines()["fluids"]["came"]
    besides = (
        r"(?: out| off| with it| from it| of it| as well| too| everywhere| all over| on the floor| over me"
        r"| over it| down| there)*"
    )
    verb = rf"(?:(?: (?:still|also|just|that|which|is|was|has|had))* {came}){besides}"
    mess = r" (?P<amount>everywhere|all over(?: the \w+| me| it)?|dripping|leaking|weeping)(?: out)?"
    lead = (
        rf"(?:(?:i|we|it|that|also|then|but|and|has|had) )*"
        rf"(?:{came} (?:out )?|with |caught |spilled |spilt )?(?:(?:the|another) )?"
    )
    vague = r"(?P<amount>some|lots of|a lot of|plenty of|a (?:fair|good) bit of)"
    coming = rf"(?:{came}|leaking|dripping|weeping)(?: out)?"
    return tuple(
        re.compile(one)
        for one in (
            rf"{lead}{amount}(?: of)?{_LOOKS} {_fluid()}(?:{verb}|{besides})?",
            rf"(?:{lead}){vague}{_LOOKS} {_fluid()}(?:{verb}|{besides})?",
            rf"(?:^|(?<= ))(?:it |that |still )?{coming}{_LOOKS} {_fluid()}{besides}$",
            rf"{_fluid()}(?:{verb})? ?{amount}(?:{verb})?",
            rf"(?:{lead})\b{amount}(?:{verb}|$)",
            _FIRM,
            rf"{_fluid()}{verb}",
            rf"(?:^|(?<=\d ))(?:(?:and|the|some|bit of) )*{_fluid()}(?: (?:is|was|still|just))*{mess}",
        )
    )


_LOOKS = (
    r"(?P<looks>(?: (?:the|some|old|dirty|stale|used|spent|waste|clean|fresh|hot|warm|cold|red|black|brown"
    r"|green|blue|pink|yellow|grey|milky|rusty|rust|salt|thick|thin|burnt|mucky|manky|smelly|cloudy|sludgy))*)"
)
"""How a fluid looks: a cup of stale petrol."""

_NAMELESS = (4, 5)
"""Patterns that have an amount and no fluid."""

_FIRM = (
    r"\b(?P<amount>(?P<rough>about |around |roughly |maybe )?(?P<number>\d+(?:\.\d+)?) ?"
    r"(?P<unit>litres?|liters?|l|ml|pints?|gallons?))\b"
)
"""An amount that is one wherever it stands."""

_SOME = (
    "smear",
    "smidge",
    "dollop",
    "bit",
    "little",
    "splash",
    "drop",
    "drops",
    "dribble",
    "trickle",
    "lot",
    "tad",
    "spot",
    "cupful",
    "cup",
)
"""Amounts that need no number."""

_MEASURES = ("litre", "liter", "pint", "gallon", "quart")

_DRAINING = re.compile(r"\b(?:drained|emptied|pumped|siphoned|came out|ran out|leaked|spilt|spilled)\b")


def spill_in(words: Words, drained: str) -> Spill | None:
    """A fluid and how much of it came out, which is taken out.

    Args:
        words: The clause.
        drained: The fluid that the line speaks of already, where this clause names none.
    """
    for number, one in enumerate(_spilt()):
        match = words.find(one)
        if match is None:
            continue
        groups = match.groupdict()
        fluid = groups.get("fluid") or (drained or _fluid_in(words.text) if number in _NAMELESS else "")
        alone = match[0].strip() == words.text
        told = groups.get("rough") or groups.get("number")
        draining = _DRAINING.search(words.text) or (alone and told and groups["unit"] not in _SOME[:-2])
        fluid = fluid or ("fluid" if number in _NAMELESS and draining else "")
        single = (groups.get("amount") or "").startswith("a ") and groups.get("unit") in _MEASURES
        bare = number in _NAMELESS and not (groups.get("number") or groups.get("rough") or single)
        if not fluid or (bare and groups["unit"] not in _SOME):
            continue
        if (
            number in (0, 1)
            and not match[0].strip().startswith(("came", "lost"))
            and _part_follows(words, match)
        ):
            continue
        if number == _BEHIND and bare_measure(groups):
            continue  # an oil glass
        amount = _amount_words(words, match)
        litres, rough = litres_of(groups)
        looks = words.raw(*match.span("looks")) if groups.get("looks") else ""
        words.cut(match.start(), match.end())
        name = known_name(fluid, {})
        return Spill(replace(name, words=f"{looks} {name.words}".strip()), amount, litres, rough)
    return None


_BEHIND = 3
"""The pattern that has the amount behind the fluid."""


def bare_measure(groups: Mapping[str, str | None]) -> bool:
    """A vessel alone, of which nobody said how many: it may be a part, or where the fluid went."""
    return not (groups.get("number") or groups.get("rough")) and groups.get("unit") not in _SOME[:-2]


def _fluid_in(text: str) -> str:
    """A fluid that the clause names: ``diesel filter out, lost 200 ml``."""
    match = re.search(rf"\b{_fluid()}\b", text)
    return match["fluid"] if match else ""


def _part_follows(words: Words, match: re.Match[str]) -> bool:
    """``a bit of water pipe`` is no spill."""
    rest = words.text[match.end("fluid") :].split()[:1]
    said = vocabulary.little() | vocabulary.happening()
    return bool(rest) and rest[0].isalpha() and rest[0] not in said


def _amount_words(words: Words, match: re.Match[str]) -> str:
    """The amount as it was said; empty where only the fluid was."""
    if not match.groupdict().get("amount"):
        return ""
    return words.raw(*match.span("amount"))


# ---- Which act it belongs to ----


_FROM = (Act.OFF, Act.ASIDE, Act.LOOSE, Act.UNDONE)
"""What was done to a part out of which something runs."""


def all_spills(told: tuple[Spill, ...], more: Sequence[Spill]) -> tuple[Spill, ...]:
    """``oil dripped, half a cup maybe``: how much of the fluid that was told."""
    alone = len(told) == len(more) == 1 and told[0].litres is None
    if alone and told[0].fluid.label == more[0].fluid.label:
        return (replace(more[0], fluid=told[0].fluid),)
    return (*told, *more)


def spilt_before(last: Said | None, did: Did) -> Did | None:
    """``radiator out, .., coolant drained 5 litres``: the act before with that; None: it is another."""
    fluid = did.part if did.part is not None and did.part.label.casefold() in fluid_words() else None
    if not isinstance(last, Did) or last.part is None or last.act.value not in _FROM:
        return None
    if fluid is None or did.joints or did.act.value is not Act.DRAINED:
        return None
    spills = did.spills or (Spill(fluid),)
    return replace(last, spills=(*last.spills, *spills), remarks=(*last.remarks, *did.remarks))
