"""Questions that are worth asking: whose answers would free most of an order that is only kept.

Each asks of a group of pairs whether one thing was in the way of the other. What an answer can save is worked
out by the engine: the job planned once more with those pairs free. How likely it is to save that is estimated
from how seldom one thing is in the way of another: of n things each has about ``LINKS`` others in its way,
more often one that is worked on at the same place (a guess of ours; which questions come first rests on it).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from itertools import combinations_with_replacement

from sequencer.engine.problem import Limits
from sequencer.graph.derive import derive
from sequencer.graph.kept import kept_pairs
from sequencer.graph.targets import Target
from sequencer.machine.facts.basics import Place
from sequencer.machine.facts.taken import NOT_TAKEN_APART, Free, TakenApart, Told
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Teardown
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown

WORTH = Fraction(60)
"""Seconds that an answer has to save, as far as can be expected, for its question to be asked."""

LINKS = 2.0
KNOWS = Fraction(3, 4)
"""How often somebody knows the answer (a guess of ours)."""

ELSEWHERE = ""
"""In place of a position: all others."""

MOST_TRIED = 10
"""Questions of one sort whose saving is worked out: the largest."""

LIMITS = Limits(states=300)

Pair = tuple[int, int]


class About(Enum):
    """What a question is about, in the order in which they are asked."""

    PLACES = "places"
    """Whether anything at one place had to do with anything at another, or at the same."""
    ALIKE = "alike"
    """Whether the order of things of one name was of any matter."""
    REASON = "reason"
    """What one thing was in the way of."""
    PAIR = "pair"
    """Whether one thing could have come off with another in place."""


@dataclass(frozen=True)
class OrderQuestion:
    """One question, and what its answer is worth.

    Attributes:
        first: The things asked about: at one place, of one name, one thing, the earlier of a pair.
        then: Those that may have waited for them, in the order in which they came off.
        places: The positions of ``PLACES``.
        saving: Seconds that are saved at the most, on the way back and on the next way in together.
        worth: Seconds that can be expected.
    """

    about: About
    first: tuple[Told, ...]
    then: tuple[Told, ...]
    places: tuple[str, ...] = ()
    saving: Fraction = Fraction(0)
    worth: Fraction = Fraction(0)

    @property
    def key(self) -> str:
        """A name under which it is known that it has been asked; what comes off later does not change it."""
        about = self.places or (self.first if self.about is About.REASON else ())
        named = about or (*self.first, *(self.then if self.then != self.first else ()))
        return f"{self.about.value}: {', '.join(map(str, named))}"


def questions(
    machine: Machine,
    targets: Sequence[Target],
    asked: Collection[str] = (),
    most: int = 5,
    limits: Limits = LIMITS,
) -> list[OrderQuestion]:
    """The few questions that are worth most, best first; none where no answer is worth a minute.

    ``asked`` holds the keys of those that have been answered.
    """
    if not machine.taken_apart.order:
        return []
    asking = _Asking(machine, targets, limits)
    if asking.most_of_all() < WORTH:
        return []
    for sort in (asking.of_places, asking.alike, asking.of_reason, asking.of_pairs):
        found = asking.worth_asking([one for one in sort() if one.key not in asked], most)
        if found:  # a finer one may be answered with it
            break
    return _apart(sorted(found, key=lambda one: -one.worth), asking.pairs_of, most)


def free_of(
    taken: TakenApart, question: OrderQuestion, but: Collection[Told] = ()
) -> list[tuple[tuple[Told, ...], tuple[Told, ...] | None]]:
    """What is of no matter once a question is answered with nothing, or with the things in ``but`` alone.

    Those may have been in the way of whatever came off after them. Entries of ``free``: first, then.
    """
    if question.about is About.REASON:
        return [(question.first, None)]
    place = {told: number for number, told in enumerate(taken.order)}
    sides = [tuple(t for t in side if t not in but) for side in (question.first, question.then)]
    found: list[tuple[tuple[Told, ...], tuple[Told, ...] | None]] = []
    if all(sides):
        found.append((sides[0], sides[1]))
    for mine, others in ((question.first, sides[1]), (question.then, sides[0])):
        for told in (t for t in mine if t in but):
            before = tuple(t for t in others if place[t] < place[told])
            if before:
                found.append(((told,), before))
    return list(dict.fromkeys(found))


def with_free(machine: Machine, free: Iterable[tuple[tuple[Told, ...], tuple[Told, ...] | None]]) -> Machine:
    """The machine with more of its order free."""
    taken = machine.taken_apart
    place = taken.order[0].place if taken.order else Place(machine.file, 1, 1)
    more = tuple(Free(first, then, None, place) for first, then in free)
    return replace(machine, taken_apart=replace(taken, free=(*taken.free, *more)))


class _Asking:
    """One machine's questions."""

    def __init__(self, machine: Machine, targets: Sequence[Target], limits: Limits) -> None:
        self.machine, self.limits = machine, limits
        self.order = machine.taken_apart.order
        off = (
            Target(t.atom.part, t.atom.state) for t in self.order if t.section == "parts" and not t.atom.joint
        )
        self.targets = tuple(dict.fromkeys((*off, *targets)))
        # What holds or raises is in nobody's way, and yet all that follows may need it: it keeps its place.
        # What was drained was so for something that followed: freed of that, it would be left out next time.
        self.parts = tuple(told for told in self.order if told.section == "parts")
        self.kept = {
            (i, j)
            for i, j in kept_pairs(derive(machine))
            if self.order[i].section == "parts" and self.order[j].section != "tasks"
        }
        into = self._teardown(machine)
        self.into = into.totals.seconds
        self.now = self.into + self._refit(into).totals.seconds
        share = LINKS / max(len(self.order), 3)
        self.near, self.far = min(1.5 * share, 0.5), min(0.5 * share, 0.3)

    def _into(self, machine: Machine) -> Fraction:
        return self._teardown(machine).totals.seconds

    def _cost(self, machine: Machine) -> Fraction:
        into = self._teardown(machine)
        return into.totals.seconds + self._refit(into).totals.seconds

    def _teardown(self, machine: Machine) -> Teardown:
        return plan_teardown(machine, self.targets, limits=self.limits, practice=Practice.ALL)

    def _refit(self, into: Teardown) -> Plan:
        return plan_refit(into, limits=self.limits, practice=Practice.ALL)

    def most_of_all(self) -> Fraction:
        """The most that all answers together can save; no fewer than any of them."""
        free = self._teardown(replace(self.machine, taken_apart=NOT_TAKEN_APART))
        return self.now - free.bound_seconds - self._refit(free).bound_seconds

    def pairs_of(self, question: OrderQuestion) -> set[Pair]:
        """The kept pairs that a question is about."""
        place = {told: number for number, told in enumerate(self.order)}
        first, then = ({place[t] for t in side} for side in (question.first, question.then))
        if question.about is About.REASON:
            return {(i, j) for i, j in self.kept if i in first}
        return {(i, j) for i, j in self.kept if (i in first and j in then) or (j in first and i in then)}

    # ---- Sorts of questions ----

    def of_places(self) -> Iterator[OrderQuestion]:
        at: dict[str, list[Told]] = {}
        for told in self.parts:
            at.setdefault(self.position(told), []).append(told)
        for one, other in combinations_with_replacement(at, 2):
            yield OrderQuestion(
                About.PLACES, tuple(at[one]), tuple(at[other]), tuple(dict.fromkeys((one, other)))
            )
        for one, here in at.items() if len(at) > 2 else ():
            elsewhere = tuple(told for told in self.parts if told not in here)
            yield OrderQuestion(About.PLACES, tuple(here), elsewhere, (one, ELSEWHERE))

    def alike(self) -> Iterator[OrderQuestion]:
        names: dict[str, list[Told]] = {}
        for told in self.parts:
            names.setdefault(_stem(told), []).append(told)
        for things in names.values():
            if len(things) > 1:
                yield OrderQuestion(About.ALIKE, tuple(things), tuple(things))

    def of_reason(self) -> Iterator[OrderQuestion]:
        for i, told in enumerate(self.order):
            if later := tuple(self.order[j] for first, j in self.kept if first == i):
                yield OrderQuestion(About.REASON, (told,), later)

    def of_pairs(self) -> Iterator[OrderQuestion]:
        for i, j in self.kept:
            if not any((i, k) in self.kept and (k, j) in self.kept for k in range(i + 1, j)):
                yield OrderQuestion(About.PAIR, (self.order[i],), (self.order[j],))

    def position(self, told: Told) -> str:
        """Where a thing is worked on: where most of its joints are."""
        machine, name = self.machine, told.atom.part
        if told.section == "fluids":
            return machine.fluids[name].drain.position
        part = machine.parts[name]
        if told.atom.joint is not None:
            return part.joints[told.atom.joint].position
        here = [joint.position for joint in part.joints.values()] or [part.position]
        return max(dict.fromkeys(here), key=here.count)

    # ---- What they are worth ----

    def worth_asking(self, some: Sequence[OrderQuestion], most: int) -> list[OrderQuestion]:
        """The best of those of which an answer can be expected to save a minute.

        Which they are is judged by the way in alone, the way back being much the same; their worth by both.
        """
        likely = [(self._share(pairs), len(pairs), one) for one in some if (pairs := self.pairs_of(one))]
        likely.sort(key=lambda one: -one[0] * one[1])
        rough = [
            (share * (self.into - self._into(self._freed(one))), share, one)
            for share, _, one in likely[:MOST_TRIED]
        ]
        rough.sort(key=lambda one: -one[0])
        found = []
        for _, share, one in rough[:most]:
            saving = self.now - self._cost(self._freed(one))
            worth = saving * share * KNOWS
            if worth >= WORTH:
                found.append(replace(one, saving=saving, worth=worth))
        return found

    def _freed(self, question: OrderQuestion) -> Machine:
        return with_free(self.machine, free_of(self.machine.taken_apart, question))

    def _share(self, pairs: Collection[Pair]) -> Fraction:
        """The share of pairs that an answer can be expected to free."""
        clear: dict[int, float] = {}
        for i, j in pairs:
            same = self.position(self.order[i]) == self.position(self.order[j])
            clear[i] = clear.get(i, 1.0) * (1 - (self.near if same else self.far))
        return Fraction(sum(clear[i] for i, _ in pairs) / len(pairs)).limit_denominator(1000)


def _stem(told: Told) -> str:
    """A name without numbers and sides: things of one name are alike."""
    words = re.split(r"[-_ /]", str(told.atom))
    return " ".join(w for w in words if not re.fullmatch(r"\d+|left|right|front|rear|upper|lower|[a-h]", w))


def _apart(
    found: Sequence[OrderQuestion], pairs_of: Callable[[OrderQuestion], set[Pair]], most: int
) -> list[OrderQuestion]:
    """The best that ask about different pairs, for the most part."""
    told: set[Pair] = set()
    some: list[OrderQuestion] = []
    for one in found:
        pairs = pairs_of(one)
        if len(pairs - told) * 2 > len(pairs):
            told |= pairs
            some.append(one)
    return some[:most]
