"""Tasks: work that takes nothing off, and what it is there for."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from sequencer.machine.facts.basics import NOTHING_SAID, Atom, Need, Place, Waiting, WayTexts

_FURTHER = re.compile(r"\s*;")
"""After it a label says how it is done, or what goes along with it."""


@dataclass(frozen=True)
class Undo:
    """What the reassembly does in return for a task."""

    label: str
    position: str
    tool: str
    seconds: Fraction
    people: int = 1


@dataclass(frozen=True)
class Task(Waiting):
    """Work that takes nothing off.

    ``before`` is kept as written; its effect is in the ``needs`` of parts and joints. ``after`` names the
    tasks that are done before it whenever it is done. ``serves`` names joints, ``part/joint``: good practice
    sets it up for them and puts it away after them. ``carries`` names the parts whose weight it takes; one
    that is ``rated`` needs no watching.

    With ``only_back`` it belongs to the way back alone: after the fluids in ``filled`` are filled and the
    tasks in ``undone`` are undone (those of the way back: done). ``back_before`` names parts fitted after it.
    """

    name: str
    position: str
    tool: str
    seconds: Fraction
    place: Place
    label: str | None = None
    before: tuple[Atom, ...] = ()
    serves: tuple[str, ...] = ()
    carries: tuple[str, ...] = ()
    rated: bool = False
    waits: tuple[Need, ...] = ()
    undo: Undo | None = None
    cautions: WayTexts = NOTHING_SAID
    notes: WayTexts = NOTHING_SAID
    people: int = 1
    after: tuple[str, ...] = ()
    only_back: bool = False
    filled: tuple[str, ...] = ()
    undone: tuple[str, ...] = ()
    back_before: tuple[str, ...] = ()

    @property
    def gist(self) -> str | None:
        """What its label says first: ``Pedal pumped hard`` of ``Pedal pumped hard; let it down``."""
        return self.label and _FURTHER.split(self.label, maxsplit=1)[0]

    def people_for(self, *, undo: bool) -> int:
        """How many people it takes, or its undoing does."""
        return self.undo.people if undo and self.undo else self.people

    @property
    def load(self) -> tuple[str, ...]:
        """The parts whose weight it takes."""
        return self.carries

    @property
    def steadied(self) -> tuple[str, ...]:
        """The joints that it is set up for, ``part/joint``: a counterhold, a lock."""
        return self.serves

    @property
    def helps(self) -> bool:
        """Whether it is there for something alone: it takes a weight, or is set up for joints."""
        return bool(self.load or self.steadied)

    def steadies(self, joints: Collection[str]) -> bool:
        """Whether it is set up for one of the joints, each ``part/joint``."""
        return not set(self.steadied).isdisjoint(joints)
