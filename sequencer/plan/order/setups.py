"""What it costs to change tool and place, and how such changes are counted.

The costs are those of the machine file's ``pace``, ``positions`` and ``walks``; see the format page.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from sequencer.machine.model import HAND, Machine

_NONE = Fraction(0)


@dataclass(frozen=True)
class Setup:
    """Where a person is, and the tool in hand."""

    position: str
    tool: str


@dataclass(frozen=True)
class Changes:
    """Costs of changing set-up, in exact seconds, for one machine.

    Attributes:
        drives: Adds tools that the file doesn't know (the refit's torque wrenches): tool name to drive.
        place: Where the person stands when the work begins; None: at the file's ``start``.
        in_hand: The tool in hand when the work begins.
    """

    machine: Machine
    drives: Mapping[str, str | None]
    place: str | None = None
    in_hand: str = HAND

    @classmethod
    def of(cls, machine: Machine, extra: Mapping[str, str | None] | None = None) -> Changes:
        """The changes of ``machine`` with its own tools and ``extra`` ones."""
        own = {name: tool.drive for name, tool in machine.tools.items()}
        return cls(machine, {**own, **(extra or {})})

    def tool_seconds(self, old: str, new: str) -> Fraction:
        """From tool to tool: nothing, a swap on one drive, or putting down and picking up."""
        pace = self.machine.pace
        if old == new:
            return _NONE
        drive = self.drives.get(old)
        if HAND not in (old, new) and drive is not None and drive == self.drives.get(new):
            return pace.swap
        if HAND in (old, new):
            return pace.put_down if old != HAND else pace.pick_up
        return pace.put_down + pace.pick_up

    @staticmethod
    def is_tool_change(old: str, new: str) -> bool:
        """Whether a step with ``new`` after one with ``old`` counts as a tool change."""
        return new not in (HAND, old)

    @cached_property
    def _routes(self) -> Mapping[tuple[str, str], Fraction]:
        """The cheapest route between every two positions (Floyd–Warshall over leave + walk + enter)."""
        machine = self.machine
        names = list(machine.positions)
        cost: dict[tuple[str, str], Fraction] = {}
        for a in names:
            for b in names:
                walk = machine.walks.get((a, b), machine.pace.walk)
                move = machine.positions[a].leave + walk + machine.positions[b].enter
                cost[a, b] = _NONE if a == b else move
        for via in names:
            for a in names:
                for b in names:
                    cost[a, b] = min(cost[a, b], cost[a, via] + cost[via, b])
        return cost

    def move_seconds(self, old: str, new: str) -> Fraction:
        """From position to position by the cheapest route."""
        return self._routes[old, new]

    def start_position(self, first: str) -> str:
        """Where the job starts when its first operation is at ``first``."""
        return self.place or self.machine.start or first

    def start(self, first: str) -> Setup:
        """The set-up in which the job begins when its first operation is at ``first``."""
        return Setup(self.start_position(first), self.in_hand)

    def seconds(self, old: Setup, new: Setup) -> Fraction:
        """Tool change and reach-around together."""
        between = old.position, old.tool, new.position, new.tool
        known = self._known.get(between)
        if known is None:
            known = self.tool_seconds(old.tool, new.tool) + self.move_seconds(old.position, new.position)
            self._known[between] = known
        return known

    @cached_property
    def _known(self) -> dict[tuple[str, str, str, str], Fraction]:
        """What was asked before: each question to the engine asks for all pairs again."""
        return {}

    def start_seconds(self, first: Setup) -> Fraction:
        """The change before the first step, from the tool in hand and the place where the person stands."""
        return self.seconds(self.start(first.position), first)
