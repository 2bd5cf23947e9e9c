"""Fluids by their names, and how much of one is said."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import Words, said, tokens_of
from sequencer.machine.trade.tables import table
from sequencer.quantities import QuantityError, parse_litres


def fluid_words() -> list[str]:
    """What fluids are called."""
    words: list[str] = table("heard")["fluids"]["words"]
    return words


@cache
def amount_pattern() -> str:
    """How much of a fluid, as people say it, with the groups that ``litres_of`` takes."""
    pattern: str = table("heard")["fluids"]["amount"]
    return pattern


def amount_in(text: str) -> tuple[float | None, str]:
    """How many litres a text says, None where that is not told; and the text without: 1.5 L of coolant."""
    words = Words(mended(tokens_of(text)))
    match = words.find(re.compile(rf"(?:^|(?<= )){amount_pattern()}(?: of)?(?: the)?(?= |$)"))
    if match is None or not (match["number"] or match["rough"] or match[0].startswith("a ")):
        return None, text
    litres, _ = litres_of(match.groupdict())
    words.cut(match.start(), match.end())
    return litres, said([one for run in words.runs() for one in run])


def litres_of(groups: Mapping[str, str | None]) -> tuple[float | None, bool]:
    """What an amount comes to in litres, None where that is not known; and whether it is a guess.

    Args:
        groups: ``rough``, ``number``, ``unit`` and ``half`` of the pattern.
    """
    unit, number = (groups.get("unit") or ""), (groups.get("number") or "")
    number = number.removesuffix(" odd").removesuffix(" and a bit")
    rough = groups.get("rough") is not None
    measures = table("heard")["fluids"]["measures"]
    words = number.split()
    value = {"half": 0.5, "quarter": 0.25, "a": 1.0, "an": 1.0, "1/2": 0.5, "1/4": 0.25, "3/4": 0.75}.get(
        words[0] if words else "a"
    )
    value = 0.75 if number.startswith("3 quarters") else value
    if value is None:
        try:
            value = (
                float(number)
                if "/" not in number
                else float(number.split("/")[0]) / float(number.split("/")[1])
            )
        except ValueError:
            return None, True
    value += 0.5 if groups.get("half") else 0.0
    single = unit if unit in measures else unit.removesuffix("s")
    if single in measures:
        return value * measures[single], True
    try:
        spelt = {"millilitre": "ml", "milliliter": "ml", "ltr": "l"}.get(single, single)
        return value * float(parse_litres(f"1 {spelt}")), rough
    except QuantityError:
        return None, True
