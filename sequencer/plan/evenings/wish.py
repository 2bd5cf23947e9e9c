"""How long somebody's sittings are, and how sure they want to be of getting to the end of each."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction

from sequencer.errors import SequencerError
from sequencer.quantities import parse_seconds

CHANCE = 0.8
"""How sure a person wants to be of reaching the place where they stop."""

SHORTEST = 60
"""Seconds below which nobody means a sitting."""


@dataclass(frozen=True)
class SittingsWish:
    """Sittings as they are wished for.

    Attributes:
        lengths: Seconds for each in turn, setting out and clearing up included; the last goes on.
        chance: Of ending each in its time, between 0 and 1.
    """

    lengths: tuple[Fraction, ...]
    chance: float = CHANCE

    @classmethod
    def of(cls, lengths: Sequence[Fraction], chance: float = CHANCE) -> SittingsWish:
        """A wish that can be meant.

        Raises:
            SequencerError: A sitting takes no time, or the chance is none.
        """
        if not lengths or min(lengths) < SHORTEST:
            raise SequencerError("a sitting has to take some time", "give it as 90min, or 2 h")
        check_chance(chance)
        return cls(tuple(lengths), chance)

    def length(self, number: int) -> Fraction:
        """Of the sitting of that number, from 1."""
        return self.lengths[min(number, len(self.lengths)) - 1]

    def after(self, sittings: int) -> SittingsWish:
        """What is left of it after so many sittings."""
        return replace(self, lengths=self.lengths[min(sittings, len(self.lengths) - 1) :])


def seconds_in(text: str) -> Fraction:
    """A sitting's length; a number alone is minutes.

    Raises:
        QuantityError: It is no time.
    """
    return Fraction(60 * int(text)) if text.strip().isdecimal() else parse_seconds(text)


def check_chance(chance: float) -> None:
    """Refuse what is no chance.

    Raises:
        SequencerError: It does not lie between 0 and 1.
    """
    if not 0 < chance < 1:
        raise SequencerError("a chance lies between 0 and 1", "say it as 0.8", code="which-time")


LONGEST_HOURS = 16
"""Nobody works on for longer: an hour that lies farther ahead has just passed."""


def seconds_until(text: str, now: datetime) -> Fraction:
    """Seconds until an hour of the clock; one of after midnight is tomorrow's.

    Raises:
        SequencerError: It is not a time of day, or it has passed.
    """
    clock = re.fullmatch(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])", text.strip())
    if clock is None:
        raise SequencerError(f"{text!r} is not a time of day", "say it as --until 18:30", code="which-time")
    end = now.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
    left = Fraction((end - now) % timedelta(days=1) / timedelta(microseconds=1)) / 1_000_000
    if left > LONGEST_HOURS * 3600:
        raise SequencerError(f"{text.strip()} has passed", "say how long you have: 90min", code="which-time")
    return left
