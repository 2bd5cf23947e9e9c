"""The values of a picture of what blocks what: things, and what each waits for, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Enum


class Standing(Enum):
    """What a thing is to the job, which decides how its box is drawn."""

    AIM = "aim"
    OFF = "off"
    MOVED = "moved"
    OPENED = "opened"
    WORK = "work"
    FLUID = "fluid"


class Stage(Enum):
    """How far a job is with a thing."""

    AHEAD = "ahead"
    NEXT = "next"
    IN_HAND = "in hand"
    AWAY = "away"
    BACK = "back"

    @property
    def shown(self) -> str:
        """The label of what is being worked on; empty for what waits or is done with."""
        return self.value if self in (Stage.NEXT, Stage.IN_HAND) else ""


@dataclass(frozen=True)
class Option:
    """One way of meeting what is asked for.

    Attributes:
        thing: The key of the thing that has to move or be done.
        joint: The name of its joint, where only that is asked for.
        words: Both in words, with the state where that is not off.
        taken: Whether the job goes this way.
    """

    thing: str
    joint: str | None
    words: str
    taken: bool


@dataclass(frozen=True)
class Ask:
    """What is waited for: one of several ways, the taken ones first.

    Attributes:
        phrase: Why, before the name: ``behind``.
        ways: Any one of them meets it.
        arrow: The head of the arrow that leads here: ``normal``, ``tee`` or ``none``.
    """

    phrase: str
    ways: tuple[Option, ...]
    arrow: str = "normal"


@dataclass(frozen=True)
class Row:
    """A joint of a thing.

    Attributes:
        joint: Its name within the part.
        numbers: The steps that work on it: ``c95 101``.
        words: How many, what, which size.
        place: Where it is worked on, if not where its part is; the position's name.
        asks: What it waits for by itself.
        gone: Whether it is undone, in a job under way.
    """

    joint: str
    numbers: str
    words: str
    place: str
    asks: tuple[Ask, ...]
    gone: bool = False


@dataclass(frozen=True)
class Boxed:
    """A part, a task or a fluid with what it waits for.

    Attributes:
        key: Its own among all things: a part's name, ``task raise``, ``drain oil``.
        words: Its name, with the state where it does not come off.
        look: What it is to the job.
        number: The step that moves it or does it; empty without a plan.
        place: The position from which it is worked on.
        asks: What all of it waits for.
        rows: Its joints.
        steps: The numbers of all its steps.
        last: When its last step is, counted over the whole job or file.
        stage: How far a job under way is with it; ``told`` is where that has left it: ``off, bag 3``.
        gone: Whether it is away, drained or done, in a job under way.
    """

    key: str
    words: str
    look: Standing
    number: str
    place: str
    asks: tuple[Ask, ...]
    rows: tuple[Row, ...]
    steps: frozenset[int]
    last: int
    stage: Stage = Stage.AHEAD
    told: str = ""
    gone: bool = False

    def waits(self) -> Iterator[tuple[str | None, Ask]]:
        """All that it waits for, with the joint that does."""
        yield from ((None, ask) for ask in self.asks)
        yield from ((row.joint, ask) for row in self.rows for ask in row.asks)


@dataclass(frozen=True)
class Barring:
    """A whole picture.

    Attributes:
        title: The machine, and what the job is for.
        things: Its boxes by their keys, what the job is for first.
        first: What comes before everything else, and waits for nothing.
        places: The positions in words, by name, in order; empty where there is only one.
        staying: What stays fitted and has no box, in words.
        numbered: Whether there is a plan whose steps are numbered.
        under_way: Whether it shows how far a job is; ``turned``: on its way back, with the numbers of that.
    """

    title: str
    things: dict[str, Boxed]
    first: tuple[Boxed, ...]
    places: dict[str, str]
    staying: str
    numbered: bool
    under_way: bool = False
    turned: bool = False

    def words(self) -> Iterator[str]:
        """All that is said in it."""
        yield from (self.title, self.staying, *self.places.values())
        for thing in (*self.first, *self.things.values()):
            yield from (thing.words, *(row.words for row in thing.rows))
            yield from (way.words for _, ask in thing.waits() for way in ask.ways)

    def said(self, how: Callable[[str], str]) -> Barring:
        """The same with each name as ``how`` writes it."""

        def asks(found: tuple[Ask, ...]) -> tuple[Ask, ...]:
            return tuple(
                replace(ask, ways=tuple(replace(way, words=how(way.words)) for way in ask.ways))
                for ask in found
            )

        def thing(one: Boxed) -> Boxed:
            rows = (replace(row, words=how(row.words), asks=asks(row.asks)) for row in one.rows)
            return replace(one, words=how(one.words), asks=asks(one.asks), rows=tuple(rows))

        return replace(
            self,
            title=how(self.title),
            things={key: thing(one) for key, one in self.things.items()},
            first=tuple(map(thing, self.first)),
            places={name: how(label) for name, label in self.places.items()},
            staying=how(self.staying),
        )
