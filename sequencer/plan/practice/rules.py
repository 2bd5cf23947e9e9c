"""What a rule of good practice comes to in one job: conditions on the order of its operations, by name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum


class Practice(Enum):
    """Whether a plan keeps the rules of good practice."""

    NONE = "none"
    ALL = "all"


class RuleName(Enum):
    """The rules, by the page's names, in its order of priority: the first wins."""

    CARRIED = "carried"
    HOLD = "hold"
    CRACK = "crack"
    SEALED = "sealed"
    SEATED = "seated"
    FACE = "face"
    CLOSING = "closing"
    SERVES = "serves"
    START = "start"
    SNUG = "snug"


@dataclass(frozen=True)
class PracticeWhile:
    """Once all of ``after`` are done, only what is in ``only`` comes before the first of ``until``.

    Where it ``lifts``, it sends one on to what comes next, and nobody is asked to stay.
    """

    after: frozenset[str]
    until: frozenset[str]
    only: frozenset[str] = frozenset()
    lifts: bool = True

    def active(self, done: set[str]) -> bool:
        """Whether it has a say in what comes next."""
        return self.after <= done and self.until.isdisjoint(done)

    def turned(self) -> PracticeWhile:
        """The same, read backwards."""
        return PracticeWhile(self.until, self.after, self.only, self.lifts)


@dataclass(frozen=True)
class PracticeStay:
    """Active like a ``PracticeWhile``: then no step of ``leaving`` is followed by one of ``entering``.

    It does not bind where a ``PracticeWhile`` that lifts it is active: going where another rule sends you is
    not leaving.
    """

    after: frozenset[str]
    until: frozenset[str]
    leaving: frozenset[str]
    entering: frozenset[str]

    def active(self, done: set[str]) -> bool:
        """Whether it has a say in what comes next."""
        return self.after <= done and self.until.isdisjoint(done)

    def turned(self) -> PracticeStay:
        """The same, read backwards."""
        return PracticeStay(self.until, self.after, self.entering, self.leaving)


@dataclass(frozen=True)
class Rule:
    """A rule at one part or joint.

    Attributes:
        name: Which rule.
        subject: The part or ``part/joint``, as the file names it.
        at: The operation at which it is told if it can't be kept.
        orders: Pairs of operations, the first before the second.
        whiles: What may come next, and when.
        stays: When a place is not left.
    """

    name: RuleName
    subject: str
    at: str
    orders: tuple[tuple[str, str], ...] = ()
    whiles: tuple[PracticeWhile, ...] = ()
    stays: tuple[PracticeStay, ...] = ()


def orders_of(rules: Iterable[Rule]) -> tuple[tuple[str, str], ...]:
    """The orders that rules ask for, each once."""
    return tuple(dict.fromkeys(pair for rule in rules for pair in rule.orders))


class Why(Enum):
    """Why a rule is not kept at some place."""

    SLIGHT = "slight"
    """Only joints that bear nothing can be the last of the part."""
    WAITS = "waits"
    """What the rule would put first waits itself for what comes second."""
    MACHINE = "machine"
    """No order of these operations keeps it."""
    EARLIER = "earlier"
    """No order keeps it beside the rules that stand before it."""
    SEALANT = "sealant"
    """The working time of a sealant leaves no room for it."""
    MEANWHILE = "meanwhile"
    """It can be done at no other time."""
    UNKNOWN = "unknown"
    """The search came to its limit before an order that keeps it was found."""


@dataclass(frozen=True)
class Dropped:
    """A rule that is not kept at one part or joint, and why; ``other`` is what it is about, if anything."""

    name: RuleName
    subject: str
    at: str
    why: Why
    other: str | None = None


def kept_by(rules: Sequence[Rule], order: Sequence[str]) -> list[bool]:
    """For each of ``rules`` whether ``order`` keeps it, an order of taking apart (see the package)."""
    place = {name: number for number, name in enumerate(order)}
    held = [all(place[a] < place[b] for a, b in rule.orders) for rule in rules]
    lifted: set[int] = set()
    for number, rule in enumerate(rules):
        for condition in rule.whiles:
            steps = _active_before(condition, place)
            lifted.update(steps if condition.lifts else ())
            may = condition.only | condition.until
            held[number] &= all(order[step] in may for step in steps)
    for number, rule in enumerate(rules):
        held[number] &= not any(
            order[step - 1] in stay.leaving and order[step] in stay.entering and step not in lifted
            for stay in rule.stays
            for step in _active_before(stay, place)
            if step
        )
    return held


def _active_before(condition: PracticeWhile | PracticeStay, place: Mapping[str, int]) -> range:
    """The steps of an order, by their places in it, before which a condition is active."""
    size = len(place)
    begin = max((place.get(name, size) + 1 for name in condition.after), default=0)
    return range(begin, min((place.get(name, size - 1) + 1 for name in condition.until), default=size))
