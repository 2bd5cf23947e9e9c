"""A torque as it is told on a job: ``"cover bolts" 10 N.m "manual p. 12"``, or ``"cover bolts" by hand``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sequencer.errors import SequencerError
from sequencer.quantities import (
    QuantityError,
    Stage,
    TorqueQuantity,
    find_prevailing,
    find_torque,
    parse_stage,
)

HAND_TIGHT = "hand tight"

BY_HAND = frozenset(
    {HAND_TIGHT, "hand", "by hand", "tight by hand", "by hand tight", "by feel", "hand-tight", "snug", "none"}
)
"""Words that say that no figure is wanted."""

_BETWEEN = re.compile(r"\s*(?:[,;+]|\bthen\b|\band then\b)\s*", re.IGNORECASE)
_ENDS = " \t,;:."
_DRAG = "prevailing"


@dataclass(frozen=True)
class Figure:
    """A figure for joints.

    Attributes:
        stages: Torques and angles in order; none where it is tight by hand, or only ``prevailing`` is told.
        source: Where it is from, in the person's words; empty where nobody said.
        by_hand: Why no figure is needed; empty where there is one.
        when: What has to be back before it, by its name in the file: a jack let down, its wheels.
        prevailing: What its self-locking nuts take to turn; None where nobody said.
    """

    stages: tuple[Stage, ...] = ()
    source: str = ""
    by_hand: str = ""
    when: tuple[str, ...] = ()
    prevailing: TorqueQuantity | None = None

    @property
    def text(self) -> str:
        """As it is said: ``10 N.m``, ``20 N.m, 90 deg``, ``3 N.m prevailing``, ``by hand: hand tight``."""
        pieces = [stage.text for stage in self.stages]
        pieces += [f"{self.prevailing.text} prevailing"] if self.prevailing else []
        return ", ".join(pieces) or f"by hand: {self.by_hand}"

    @property
    def fields(self) -> dict[str, object]:
        """What stands under ``torque`` in a machine file."""
        drag = {"prevailing": self.prevailing.text} if self.prevailing else {}
        if not self.stages:
            return {**({"by_hand": self.by_hand} if self.by_hand else {}), **drag}
        one = len(self.stages) == 1
        what: dict[str, object] = (
            {"value": self.stages[0].text} if one else {"stages": [stage.text for stage in self.stages]}
        )
        more = {"when": list(self.when)} if self.when else {}
        return {**what, **drag, **more, **({"source": self.source} if self.source else {})}


def is_by_hand(text: str) -> bool:
    """Whether the words say that no figure is wanted."""
    return " ".join(text.casefold().replace(",", " ").split()) in BY_HAND


def split_words(words: Sequence[str]) -> tuple[tuple[str, ...], Figure | None]:
    """What is named, and the figure for it; None where there is no figure in the words.

    The figure may be one word or several, as a terminal cuts them; what follows it is its source.
    """
    before, drag, after = _parted_at_drag(words)
    names, figure = _split([*before, *after])
    if drag is None:
        return names, figure
    if figure is None:
        return tuple(before), Figure(source=", ".join(after), prevailing=drag)
    return names, replace(figure, prevailing=drag)


def _split(words: Sequence[str]) -> tuple[tuple[str, ...], Figure | None]:
    pieces = [piece for word in words for piece in _cut(word)]
    if _stage_length(pieces, 0):  # a figure is for something that is named before it
        return (), None
    for start in range(len(pieces)):
        end = _figure_end(pieces, start)
        if end is None:
            continue
        told = pieces[start:end]
        source = ", ".join(pieces[end:]).strip(_ENDS)
        if is_by_hand(" ".join(told)):
            return tuple(pieces[:start]), Figure(by_hand=source or HAND_TIGHT)
        stages = tuple(stage for piece in _joined(told) for stage in _stages(piece))
        return tuple(pieces[:start]), Figure(stages, source)
    return tuple(pieces), None


def read_stages(text: str) -> tuple[Stage, ...]:
    """Torques and angles in order: ``20 N.m, 40 N.m, 90 deg``, ``20 Nm then a quarter turn``.

    Raises:
        QuantityError: One of them is neither.
    """
    return tuple(parse_stage(piece) for piece in _BETWEEN.split(text.strip(_ENDS)) if piece)


def with_source(figure: Figure) -> Figure:
    """The figure, which has to say where it is from; a drag that was read is from the nut.

    Raises:
        SequencerError: It does not.
    """
    if figure.stages and not figure.source:
        raise SequencerError(
            f"nothing says where {figure.text} is from",
            'say it behind the torque: "manual p. 12", or "from memory"',
            code="no-source",
        )
    return figure


_MOST_CUT = 4
"""Words in which a terminal has a prevailing torque: ``3 N m prevailing``."""

_TIES = frozenset({"+", ",", ";", "and", "plus", "with"})


def _parted_at_drag(words: Sequence[str]) -> tuple[list[str], TorqueQuantity | None, list[str]]:
    """What stands before a torque that is called prevailing, that torque, and what stands after it."""
    runs = ((start, start + length) for length in range(1, _MOST_CUT + 1) for start in range(len(words)))
    for start, end in sorted(runs, key=lambda run: (not words[run[0]].startswith(_DRAG), run[1] - run[0])):
        text = " ".join(words[start:end])
        if end <= len(words) and (found := find_prevailing(text)) is not None:
            torque, since, until = found
            before = [*words[:start], text[:since].strip(_ENDS)]
            after = [text[until:].strip(_ENDS), *words[end:]]
            while before and (not before[-1] or before[-1].casefold() in _TIES):
                before.pop()
            return before, torque, [word for word in after if word]
    return list(words), None, []


def _stages(text: str) -> tuple[Stage, ...]:
    try:
        return read_stages(text)
    except QuantityError:
        return ()


def _cut(word: str) -> list[str]:
    """A word as the terminal has it, in up to three where a torque stands inside it."""
    plain = word.strip()
    if not plain or _stages(plain) or is_by_hand(plain):
        return [plain] if plain else []
    found = find_torque(plain)
    if found is None:
        return [plain]
    _, start, end = found
    before, after = plain[:start].strip(_ENDS), plain[end:]
    stages = plain[start:end]
    while more := re.match(r"\s*(?:,|\+|then|and then)\s*(?:(?:then|and)\s+)?", after):
        rest = after[more.end() :]
        length = next((n for n in range(len(rest), 0, -1) if _stages(rest[:n].strip())), 0)
        if not length:
            break
        stages, after = f"{stages}, {rest[:length].strip()}", rest[length:]
    return [piece for piece in (before, stages, after.strip(_ENDS)) if piece]


def _figure_end(pieces: Sequence[str], start: int) -> int | None:
    """Where a figure ends that begins at ``start``; None where none does."""
    if not start:
        return None
    for length in (3, 2, 1):
        text = " ".join(pieces[start : start + length])
        if start + length <= len(pieces) and is_by_hand(text):
            return start + length
    end = start
    while stage := _stage_length(pieces, end):
        end += stage
    return end if end > start else None


def _stage_length(pieces: Sequence[str], start: int) -> int:
    """How many pieces a torque or angle takes that begins at ``start``; 0 where none does."""
    for length in (1, 2):
        if start + length <= len(pieces) and _stages(" ".join(pieces[start : start + length])):
            return length
    return 0


def _joined(pieces: Sequence[str]) -> Iterable[str]:
    """Numbers with their units, where a terminal has cut them."""
    place = 0
    while place < len(pieces):
        length = _stage_length(pieces, place) or 1
        yield " ".join(pieces[place : place + length])
        place += length
