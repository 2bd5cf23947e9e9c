"""Torques and angles of turn: what a fastener is tightened with."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from sequencer.quantities.text import QuantityError, known_unit, short, terms_of, tidy, total
from sequencer.quantities.units import ANGLE, TORQUE, TORQUE_SPELT, TORQUE_UNITS, unit_word


@dataclass(frozen=True)
class TorqueQuantity:
    """A torque.

    Attributes:
        newton_metres: Its size in N·m, exactly.
        unit: The unit it was written in, canonically: a key of ``TORQUE_UNITS``.
        value: Its size in that unit.
        text: As it was written.
    """

    newton_metres: Fraction
    unit: str
    value: Fraction
    text: str

    @classmethod
    def of(cls, value: Fraction, unit: str) -> TorqueQuantity:
        """A torque that was computed, in a canonical unit."""
        return cls(value * TORQUE_UNITS[unit], unit, value, f"{plain(value)} {unit}")

    def in_unit(self, unit: str) -> Fraction:
        """Its size in another canonical unit, exactly."""
        return self.newton_metres / TORQUE_UNITS[unit]

    def converted(self, unit: str) -> str:
        """Number and unit for a person who asked for this unit: four figures, as written in its own."""
        if unit == self.unit:
            return self.shown_in()
        value = float(self.in_unit(unit))
        behind = max(0, 3 - math.floor(math.log10(value)))
        return f"{value:.{behind}f} {unit}"

    def shown_in(self, unit: str | None = None) -> str:
        """Number and unit for a person: in its own unit as written, in another as a wrench can be set.

        Rounded values are at most 5 % off below 2 of the unit, 2.5 % above, in steps of 0.1 below 20, of 0.5
        below 100, of 1 above (common practice for the scales of torque wrenches), and of 0.01 below 1.
        """
        if unit is None or unit == self.unit:
            return f"{plain(self.value)} {self.unit}"
        return f"{plain(wrench_round(self.in_unit(unit)))} {unit}"


@dataclass(frozen=True)
class AngleQuantity:
    """An angle through which a fastener is turned on: ``degrees``, and the text as written."""

    degrees: Fraction
    text: str


_SAID = re.compile(
    r"(?<![\w./])(?<!\d,)\d+(?:\.\d+)? ?(?P<unit>(?P<word>[a-z]+)(?:[ .·⋅∙•*×_-]{1,3}[a-z]+)?)", re.IGNORECASE
)

_PREVAILING = re.compile(r"\bprevailing\b(?: torque\b)?(?: of\b)?", re.IGNORECASE)
_TIE = re.compile(r"\s*(?:[,;+]|\band\b|\bplus\b|\bwith\b)\s*$", re.IGNORECASE)

Stage = TorqueQuantity | AngleQuantity
"""One stage of a tightening."""


def wrench_round(value: Fraction) -> Fraction:
    """A torque in some unit, rounded to what can be set and read on a wrench; halves go up."""
    if value < Fraction(1, 10):
        return value
    step = next(
        (
            step
            for limit, step in ((1, Fraction(1, 100)), (20, Fraction(1, 10)), (100, Fraction(1, 2)))
            if value < limit
        ),
        Fraction(1),
    )
    return (value / step + Fraction(1, 2)).__floor__() * step


def plain(value: Fraction) -> str:
    """A decimal without needless noughts, to six figures behind the point at most."""
    return f"{float(value):.6f}".rstrip("0").rstrip(".")


def parse_torque(text: str) -> TorqueQuantity:
    """A torque with its unit: ``47 N.m``, ``47 Nm``, ``35 ft-lb``, ``4.8 kgf.m``.

    Raises:
        QuantityError: No unit, a unit of another kind, nought, or not a number.
    """
    terms = terms_of(text, TORQUE)
    value, unit = terms[0]
    if not unit:
        number = plain(value)
        raise QuantityError(
            f"{short(text)} has no unit; a torque needs one",
            f"write {number} N.m or {number} lbf.ft, whichever is meant",
        )
    if len(terms) > 1:
        raise QuantityError(
            f"'{short(text)}' is more than one torque", "write stages: [20 N.m, 90 deg] for several"
        )
    word = known_unit(text, unit, TORQUE)
    if value == 0:
        raise QuantityError(f"{short(text)} tightens nothing", "leave the torque out, or write the right one")
    canonical = TORQUE_SPELT[word]
    return TorqueQuantity(value * TORQUE_UNITS[canonical], canonical, value, tidy(text))


def parse_torque_unit(text: str) -> str:
    """The canonical spelling of a unit of torque: ``ft-lb`` is ``lbf.ft``.

    Raises:
        QuantityError: Not a unit of torque.
    """
    unit = TORQUE_SPELT.get(unit_word(text))
    if unit is None:
        near = difflib.get_close_matches(text, TORQUE_UNITS, n=1)
        remedy = f"did you mean {near[0]}?" if near else f"write one of {', '.join(TORQUE_UNITS)}"
        raise QuantityError(f"'{short(text)}' is not a unit of torque", remedy)
    return unit


def find_torque(text: str) -> tuple[TorqueQuantity, int, int] | None:
    """The first torque in a running text, where it starts and where it ends; None where there is none."""
    return next(_torques_in(text), None)


def find_prevailing(text: str) -> tuple[TorqueQuantity, int, int] | None:
    """The torque that is called prevailing, as `find_torque`: ``3 N.m prevailing``, ``prevailing 3 N.m``.

    What ties it to the torque before it belongs to its place: ``+ 3 N.m prevailing``.
    """
    for word in _PREVAILING.finditer(text):
        for torque, start, end in _torques_in(text, word.end()):
            if not text[word.end() : start].strip():
                return torque, _tied(text, word.start()), end
        for torque, start, end in _torques_in(text[: word.start()]):
            if text[end : word.start()].strip() in ("", "of"):
                return torque, _tied(text, start), word.end()
    return None


def _torques_in(text: str, since: int = 0) -> Iterator[tuple[TorqueQuantity, int, int]]:
    for match in _SAID.finditer(text, since):
        for end in (match.end("unit"), match.end("word")):
            if unit_word(text[match.start("unit") : end]) in TORQUE_SPELT:
                try:
                    yield parse_torque(text[match.start() : end]), match.start(), end
                    break
                except QuantityError:
                    continue


def _tied(text: str, start: int) -> int:
    """Where the word or sign before ``start`` begins that ties it to what stands before it."""
    tie = _TIE.search(text[:start])
    return tie.start() if tie else len(text[:start].rstrip())


def parse_angle(text: str) -> Fraction:
    """An angle in degrees: ``90 deg``, ``90°``, ``1/4 turn``.

    Raises:
        QuantityError: As for a torque.
    """
    degrees = total(text, ANGLE)
    if degrees == 0:
        raise QuantityError(f"{short(text)} turns nothing", "leave the angle out, or write the right one")
    return degrees


def parse_stage(text: str) -> Stage:
    """A stage of a tightening: a torque, or an angle on top of the stage before.

    Raises:
        QuantityError: As for a torque.
    """
    terms = terms_of(text, TORQUE)
    if len(terms) == 1 and unit_word(terms[0][1]) in ANGLE.units:
        return AngleQuantity(parse_angle(text), tidy(text))
    return parse_torque(text)
