"""Numbers with units in a text, and why one can't be read."""

from __future__ import annotations

import re
from fractions import Fraction

from sequencer.errors import SequencerError
from sequencer.quantities.units import QuantityKind, kind_of, unit_word


class QuantityError(SequencerError):
    """A quantity that can't be read: no unit, a unit of another kind, not a number."""


_NUMBER = (
    r"[0-9]{1,9}[ -][0-9]{1,3}/[0-9]{1,3}|[0-9]{1,9}/[0-9]{1,3}|[0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9}"
)
_TERM = re.compile(rf"(?P<number>{_NUMBER}) ?(?P<unit>cm3|[^0-9:,]*)")
_RANGE = re.compile(rf"(?![0-9]+-[0-9]+/)(?:{_NUMBER}) ?[^0-9 ]* ?(?:-|–|\.\.|to) ?(?:{_NUMBER})(?![0-9])")
_MORE_OR_LESS = re.compile(
    rf"(?P<value>{_NUMBER}) ?(?P<unit>[^0-9±+]*?) ?(?:±|\+ ?/? ?-) ?(?P<by>{_NUMBER}) ?(?P<by_unit>[^0-9]*)"
)
_LONGEST = 60


def tidy(text: str) -> str:
    """One space between words, a plain hyphen for the minus sign."""
    return " ".join(text.replace("−", "-").split())


def short(text: str) -> str:
    """The text as a message may quote it."""
    line = tidy(text)
    return line if len(line) <= _LONGEST else line[: _LONGEST - 1] + "…"


def _number(text: str) -> Fraction | None:
    """``2``, ``.5``, ``1/2`` or ``1 1/2`` exactly; nothing where it divides by nought."""
    try:
        return sum((Fraction(piece) for piece in text.replace("-", " ").split()), Fraction(0))
    except ZeroDivisionError:
        return None


def _wanted(kind: QuantityKind) -> str:
    return f"write it like {kind.example}"


def _a(name: str) -> str:
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _without_tolerance(told: re.Match[str], kind: QuantityKind) -> str:
    """What to write for ``20 ± 2 Nm``."""
    unit = told["unit"] or told["by_unit"].replace("%", "").strip()
    alone = f"write {told['value']} {unit} alone"
    value, by = _number(told["value"]), _number(told["by"])
    if kind.name != "torque" or not value or by is None:
        return alone
    percent = by if told["by_unit"].strip() == "%" else 100 * by / value
    return f"{alone}, and tolerance: {float(percent):.3g} % beside it"


def terms_of(text: str, kind: QuantityKind) -> list[tuple[Fraction, str]]:
    """The numbers and unit words of ``text``.

    Raises:
        QuantityError: It is not made of numbers and units.
    """
    line = tidy(text)
    if not line:
        raise QuantityError(f"{_a(kind.name)} is missing", _wanted(kind))
    if line.startswith("-") and _TERM.match(line[1:].lstrip()):
        raise QuantityError(f"{short(text)} is less than nothing", f"leave the minus out, or {_wanted(kind)}")
    if told := _MORE_OR_LESS.fullmatch(line):
        raise QuantityError(f"{short(text)} is a figure and its tolerance", _without_tolerance(told, kind))
    if _RANGE.match(line):
        raise QuantityError(
            f"{short(text)} is a range; one {kind.name} is wanted", "write the one that you would use"
        )
    if comma := re.match(r"([0-9]+),([0-9]+)", line):
        point = f"{comma[1]}{comma[2]} or " if len(comma[2]) == 3 else ""
        raise QuantityError(
            f"'{short(text)}' has a comma", f"write {point}{comma[1]}.{comma[2]} with a point"
        )
    found, end = [], 0
    while len(line) <= _LONGEST and (match := _TERM.match(line, end)):
        value = _number(match["number"])
        if value is None:
            break
        found.append((value, match["unit"].strip()))
        end = match.end()
    if not found or end < len(line):
        raise QuantityError(f"'{short(text)}' is not {_a(kind.name)}", _wanted(kind))
    return found


def total(text: str, kind: QuantityKind, bare: Fraction | None = None) -> Fraction:
    """The sum of the terms of ``text``; a number alone counts in ``bare``, where that is allowed."""
    terms = terms_of(text, kind)
    if len(terms) == 1 and not terms[0][1] and bare is not None:
        return terms[0][0] * bare
    return sum((value * kind.units[known_unit(text, unit, kind)] for value, unit in terms), Fraction(0))


def known_unit(text: str, unit: str, kind: QuantityKind) -> str:
    """The unit's spelling in the table of its kind.

    Raises:
        QuantityError: It has no unit, or one of another kind, or one that nobody knows.
    """
    word = unit_word(unit)
    if word in kind.units:
        return word
    if not word:
        raise QuantityError(f"{short(text)} has no unit; {_a(kind.name)} needs one", _wanted(kind))
    if word.replace("/", "") in kind.units:
        raise QuantityError(
            f"{short(text)} divides one by the other", f"write {short(text.replace('/', '-'))}"
        )
    other = kind_of(unit)
    if other == kind.name:
        raise QuantityError(f"'{short(unit)}' is not a unit that is read here", _wanted(kind))
    if other is not None:
        raise QuantityError(f"{short(text)} is {_a(other)}; {_a(kind.name)} is wanted", _wanted(kind))
    raise QuantityError(f"'{short(unit)}' is not a unit of {kind.name}", _wanted(kind))
