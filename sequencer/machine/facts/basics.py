"""What the objects of a machine are made of: places in the file, states of parts, needs, texts by ways."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from sequencer.machine.trade.relations import Relation, relations


@dataclass(frozen=True, order=True)
class Place:
    """Where in a machine file something is written; line and column count from 1.

    Attributes:
        within: The values of ``repeat`` that the text stands for here: ``side left``; empty where it stands
            for itself.
    """

    file: str
    line: int
    column: int
    within: str = ""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}"


class Subject(str):
    """What is spoken of, as the file names it: ``pulley``, or ``pulley/bolts``, a joint of it.

    It equals its own text.
    """

    __slots__ = ()

    @property
    def part(self) -> str:
        """The name without its joint: of a part, a task or a fluid."""
        return self.partition("/")[0]

    @property
    def joint(self) -> str:
        """The name of the joint within its part; empty for none."""
        return self.partition("/")[2]

    def within(self, part: str) -> str:
        """The name of a joint as its part knows it, where it may stand with the part's: ``bolts``."""
        return self.joint if self.of_joint and self.part == part else str(self)

    @property
    def of_joint(self) -> bool:
        """Whether it names a joint, with a stroke, were there nothing behind it."""
        return "/" in self


class Aim(str):
    """What is wanted off, as the file and ``--off`` have it: ``motor``, or ``motor=loose``.

    It equals its own text.
    """

    __slots__ = ()

    @property
    def part(self) -> str:
        """The part, by its name or by what a person calls it."""
        return self.partition("=")[0].strip()

    @property
    def state(self) -> str | None:
        """How far it has to come, as it was written; None where nothing was said of that."""
        _, said, state = self.partition("=")
        return state.strip() if said else None


class State(IntEnum):
    """How far a part has come away. Each state includes those before it."""

    FITTED = 0
    LOOSE = 1
    ASIDE = 2
    OFF = 3

    @property
    def word(self) -> str:
        """The word that a machine file uses for the state."""
        return self.name.lower()


@dataclass(frozen=True)
class Atom:
    """One thing that can be clear: a part in at least a state, or (with ``joint``) a joint undone."""

    part: str
    state: State = State.OFF
    joint: str | None = None

    def __str__(self) -> str:
        if self.joint is not None:
            return f"{self.part}/{self.joint}"
        return self.part if self.state is State.OFF else f"{self.part}={self.state.word}"


@dataclass(frozen=True)
class Need:
    """One entry of what something waits for by a relation: met when any one of the atoms is."""

    any_of: tuple[Atom, ...]
    place: Place
    relation: Relation

    def __str__(self) -> str:
        return " or ".join(str(atom) for atom in self.any_of)


class Waiting:
    """What has relations: ``waits`` has its needs, in the order of the relations' table."""

    waits: tuple[Need, ...]

    def and_for(self, need: Need) -> tuple[Need, ...]:
        """What it waits for with one need more."""
        order = relations()
        return tuple(sorted((*self.waits, need), key=lambda one: order.index(one.relation)))

    def under(self, key: str) -> tuple[Need, ...]:
        """The needs that the file lists under a key."""
        return tuple(need for need in self.waits if need.relation.key == key)

    @property
    def to_reach(self) -> tuple[Need, ...]:
        """What is in the way of reaching it."""
        return tuple(need for need in self.waits if need.relation.reaches)

    @property
    def to_leave(self) -> tuple[Need, ...]:
        """What keeps it where it is, though it can be reached."""
        return tuple(need for need in self.waits if not need.relation.reaches)


@dataclass(frozen=True)
class WayTexts:
    """Texts of the author: for those on the way in, and for those on the way back."""

    way_in: tuple[str, ...] = ()
    way_back: tuple[str, ...] = ()

    def on(self, *, back: bool) -> tuple[str, ...]:
        """What is said on one way."""
        return self.way_back if back else self.way_in

    @property
    def all(self) -> tuple[str, ...]:
        """What is said on either way, each once."""
        return tuple(dict.fromkeys((*self.way_in, *self.way_back)))


NOTHING_SAID = WayTexts()
