"""What one short line says, as values: each with the words that it was read from, or marked as a default."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Generic, TypeVar

from sequencer.machine.heard.joint import JointSaid, OpenPoint
from sequencer.quantities import Stage

T = TypeVar("T")


class Act(Enum):
    """What was done."""

    OFF = "off"
    ASIDE = "aside"
    LOOSE = "loose"
    UNPLUGGED = "unplugged"
    UNDONE = "undone"
    DRAINED = "drained"
    BACK = "back"
    TASK = "task"
    TORQUE = "torque"
    LEFT_OVER = "left over"
    NOTE = "note"


@dataclass(frozen=True)
class Heard(Generic[T]):
    """A value, and the words that said it; without words it is the usual default."""

    value: T
    words: str = ""

    @property
    def said(self) -> bool:
        """Somebody said it."""
        return bool(self.words)


@dataclass(frozen=True)
class Name:
    """A part, place or fluid as it was named.

    Attributes:
        label: In the user's words, or the label of the one that is known.
        key: The key of the known one that is meant; None for one that is new.
        words: As it was said.
        near: Labels of several known ones that may be meant.
    """

    label: str
    key: str | None = None
    words: str = ""
    near: tuple[str, ...] = ()


class ToldReason(Enum):
    """Why something came off, where no part is named."""

    ROOM = "room"


@dataclass(frozen=True)
class Spill:
    """A fluid that was drained or came out.

    Attributes:
        fluid: Its name in the user's words.
        amount: As it was said: ``about a cup``; empty where nobody said it.
        litres: What that comes to; None where it is not known.
        rough: The amount was a guess, or a measure like a cup.
    """

    fluid: Name
    amount: str = ""
    litres: float | None = None
    rough: bool = False


class Care(Enum):
    """What else was done or has to be done."""

    MARK = "mark"
    TIE = "tie"
    BAG = "bag"
    RENEW = "renew"
    NOTE = "note"


@dataclass(frozen=True)
class Remark:
    """A mark, tie, bag, renewal or note, in the user's words; of a bag, its name."""

    care: Care
    text: str


@dataclass(frozen=True)
class Before:
    """An act that is told late: it came before another one.

    Attributes:
        part: The part whose act it came before; None for the last act that was told.
    """

    words: str
    part: Name | None = None


@dataclass(frozen=True)
class ToldFigure:
    """A torque that was told, stage by stage, and where it comes from."""

    stages: tuple[Stage, ...]
    words: str
    source: str = ""


@dataclass(frozen=True)
class ToldQuestion:
    """The one question that is worth asking.

    Attributes:
        about: ``part``, ``count``, ``head``, ``thread``, ``torque``, ``act``, ``correction``;
            ``meaning`` where words in the middle of it were not understood.
        text: In a sentence.
        choices: Likely answers.
    """

    about: str
    text: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Did:
    """One act on one part.

    Attributes:
        act: What was done; a default where only a part and its joints were named.
        part: What it was done to; None where that was not said.
        joints: What held it. Counts, heads and kinds that nobody said are None there.
        position: Where the work was done from, in the user's words; None: not said.
        way_of: What it was in the way of.
        tool: A tool that belongs to no joint.
        weight_kg: What it weighs.
        text: A task in the user's words.
    """

    act: Heard[Act]
    part: Name | None = None
    joints: tuple[JointSaid, ...] = ()
    position: Heard[str] | None = None
    way_of: tuple[Name | ToldReason, ...] = ()
    spills: tuple[Spill, ...] = ()
    remarks: tuple[Remark, ...] = ()
    tool: Heard[str] | None = None
    weight_kg: Heard[float] | None = None
    figure: ToldFigure | None = None
    before: Before | None = None
    text: str = ""


@dataclass(frozen=True)
class Same:
    """The same as was done before, there or elsewhere.

    Attributes:
        part: The part that it was done to this time, where one is named.
        like: The part that it was done to before, where one is named; None: the last one told.
        side: ``other``, ``left``, ``right`` …; empty where none is said.
    """

    words: str
    part: Name | None = None
    like: Name | None = None
    side: str = ""


@dataclass(frozen=True)
class Change:
    """One thing of the last act that is put right.

    Attributes:
        what: ``head``, ``count``, ``kind``, ``thread``, ``torque``, ``part``, ``act``, ``position``.
        value: What it is instead: a head as a file has it, a number, a kind's name, a label, an act.
    """

    what: str
    value: str | int | Act
    words: str = ""


@dataclass(frozen=True)
class Correction:
    """What was wrong with the act told last."""

    words: str
    changes: tuple[Change, ...] = ()


Said = Did | Same | Correction


@dataclass(frozen=True)
class Line:
    """All that a line says.

    Attributes:
        text: The line, as it was said.
        said: The acts, in their order.
        notes: What was not understood, or is a remark on its own: kept as text.
        question: What is worth asking; None where nothing is.
    """

    text: str
    said: tuple[Said, ...] = ()
    notes: tuple[str, ...] = ()
    question: ToldQuestion | None = None

    @property
    def acts(self) -> tuple[Did, ...]:
        """The acts alone."""
        return tuple(one for one in self.said if isinstance(one, Did))


@dataclass(frozen=True)
class Context:
    """What is known when the line is said.

    Attributes:
        parts: Labels of known parts by key.
        last: What was told last, for corrections; None at the start.
    """

    parts: Mapping[str, str] = field(default_factory=dict)
    last: Did | None = None


__all__ = [
    "Act",
    "Before",
    "Care",
    "Change",
    "Context",
    "Correction",
    "Did",
    "Heard",
    "JointSaid",
    "Line",
    "Name",
    "OpenPoint",
    "Remark",
    "Said",
    "Same",
    "Spill",
    "ToldFigure",
    "ToldQuestion",
    "ToldReason",
]
