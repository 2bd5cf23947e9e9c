"""Which things and relations a picture of what blocks what has: those of a job, or of a whole machine."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property

from sequencer.document.barring.barring_words import asked, key_of, phrase_of, row_words, ways_of
from sequencer.document.barring.things import Ask, Barring, Boxed, Option, Row, Standing
from sequencer.document.words import target_words
from sequencer.graph import derive
from sequencer.graph.operations import REACHES, Because, Clause, Kind, Operation, OperationGraph
from sequencer.graph.said import part_words, sentence
from sequencer.graph.targets import goals
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine, State
from sequencer.machine.trade.relations import Relation
from sequencer.plan.plan import Teardown
from sequencer.wording import capital, listing

_LETTERS = {Kind.CRACK: "c", Kind.SLACKEN: "s"}
"""Before the number of a step that does less than undo a joint."""

_UNSAID = frozenset({Because.FIRST, Because.BACK})
"""Reasons without an arrow: what is first of all is named on top; the way back is another picture."""


def barring(
    machine: Machine, plan: Teardown | None, kept: Container[str] | None = None, title: str = ""
) -> Barring:
    """The things of a job, or of the whole machine, with all that each waits for.

    Args:
        machine: The machine.
        plan: The job; None takes the whole machine.
        kept: Parts beside which nothing is drawn; None for all that there is.
        title: What is said on top instead of what the job is for.
    """
    return _Making(machine, plan, kept).made(title)


class _Making:
    def __init__(self, machine: Machine, plan: Teardown | None, kept: Container[str] | None) -> None:
        self.machine = machine
        self.plan = plan
        self.kept = kept
        self.graph: OperationGraph = plan.graph if plan else derive(machine)
        whole = plan.operations if plan else tuple(self.graph.operations.values())
        self.steps = {step.operation.name: step.number for step in plan.steps} if plan else {}
        self.done = {op.name: op for op in whole}
        self.known = {**self.done, **self.graph.operations}
        self.by_thing: dict[str, list[Operation]] = {}
        for operation in whole:
            key = key_of(operation)
            if kept is None or key in kept:
                self.by_thing.setdefault(key, []).append(operation)
        self.aims = tuple(dict.fromkeys(target.part for target in plan.targets)) if plan else ()

    def made(self, title: str) -> Barring:
        keys = list(dict.fromkeys((*self.aims, *self.by_thing)))
        order = {op: place for place, op in enumerate(self.done)}
        things = {key: self._thing(key, order) for key in keys if self._is_drawn(key)}
        first = self._first(things)
        things = {key: thing for key, thing in things.items() if key not in first}
        places = dict.fromkeys(place for thing in things.values() for place in _places(thing))
        labels = {
            name: self.machine.positions[name].label for name in self.machine.positions if name in places
        }
        return Barring(
            title or self._title(),
            things,
            tuple(first.values()),
            labels if len(labels) > 1 else {},
            self._staying(things),
            self.plan is not None,
        )

    def _is_drawn(self, key: str) -> bool:
        return self.kept is None or key in self.kept

    def _title(self) -> str:
        if self.plan is None:
            return f"{self.machine.name}: what is in the way of what"
        aims = listing(target_words(self.machine, target) for target in self.plan.targets)
        # The order of a plan in sittings is proven by its sittings, not as the shortest of all.
        proven = self.plan.proven or self.plan.breaks
        return f"{self.machine.name}: {aims}" + ("" if proven else " (best found, not proven)")

    def _staying(self, things: Mapping[str, Boxed]) -> str:
        if self.kept is not None:
            return ""
        names = [part_words(self.machine, name) for name in self.machine.parts if name not in things]
        return f"Not touched: {listing(names)}." if names else ""

    def _first(self, things: Mapping[str, Boxed]) -> dict[str, Boxed]:
        """What comes before everything, and waits for and is asked for by nothing else."""
        found = {
            key_of(self.done[name])
            for op in self.done
            for clause in self.graph.needs.get(op, ())
            if clause.reason.kind is Because.FIRST
            for name in clause.any_of
            if name in self.done
        }
        asked = {
            key: {way.thing for _, ask in one.waits() for way in ask.ways} for key, one in things.items()
        }
        while other := {
            key
            for key in found
            if key not in things
            or not asked[key] <= found
            or any(key in wanted for who, wanted in asked.items() if who not in found)
        }:
            found -= other
        return {key: thing for key, thing in things.items() if key in found}

    # ---- One thing ----

    def _thing(self, key: str, order: Mapping[str, int]) -> Boxed:
        mine = self.by_thing.get(key, [])
        asks = self._asks(key, mine)
        part = self.machine.parts.get(key)
        joints = dict.fromkeys(op.joint for op in mine if op.joint) if part else {}
        place = part.position if part else mine[0].position
        home = {op.position for op in mine if op.joint is None or part is None} or {
            op.position for op in mine
        }
        place = place if place in home or not home else mine[0].position
        rows = tuple(
            Row(
                joint,
                self._numbers(op for op in mine if op.joint == joint),
                row_words(self.machine.joint(key, joint), self._own(key, joint, mine)),
                spot if (spot := self.machine.joint(key, joint).position) != place else "",
                tuple(asks.pop(joint, ())),
            )
            for joint in joints
        )
        state = max((REACHES[op.kind] for op in mine if op.kind in REACHES), default=State.FITTED)
        moving = [op for op in mine if REACHES.get(op.kind) is state] if part else mine
        return Boxed(
            key,
            self._words(key, mine, state),
            self._look(key, mine, state),
            self._numbers(moving),
            place,
            tuple(asks.pop(None, ())),
            rows,
            frozenset(self.steps[op.name] for op in mine if op.name in self.steps),
            max((order[op.name] for op in mine), default=len(order)),
        )

    def _words(self, key: str, mine: list[Operation], state: State) -> str:
        if key not in self.machine.parts:
            return capital(sentence(self.machine, mine[0]))
        moved = self.plan is not None and state in (State.LOOSE, State.ASIDE)
        return part_words(self.machine, key) + (f" ({state.word})" if moved else "")

    def _look(self, key: str, mine: list[Operation], state: State) -> Standing:
        if key in self.aims:
            return Standing.AIM
        if key not in self.machine.parts:
            return Standing.FLUID if mine[0].kind is Kind.DRAIN else Standing.WORK
        if state is State.OFF or self.plan is None:
            return Standing.OFF
        return Standing.OPENED if state is State.FITTED else Standing.MOVED

    def _numbers(self, operations: Iterable[Operation]) -> str:
        return " ".join(
            f"{_LETTERS.get(op.kind, '')}{self.steps[op.name]}" for op in operations if op.name in self.steps
        )

    # ---- What it waits for ----

    def _own(self, key: str, joint: str, mine: list[Operation]) -> list[str]:
        """The joints of the same part that are in the way of one of them, each with why."""
        names = {op.name: op for op in mine}
        found = [
            (phrase_of(clause)[0], other)
            for op in mine
            if op.joint == joint
            for clause in self.graph.needs.get(op.name, ())
            if isinstance(clause.reason.kind, Relation)
            and clause.any_of
            and all(name in names for name in clause.any_of)
            and (other := names[clause.any_of[0]].joint) not in (None, joint)
        ]
        joints = self.machine.parts[key].joints
        return [f"{why} {name_of(other, joints[other].label)}" for why, other in dict.fromkeys(found)]

    def _asks(self, key: str, mine: list[Operation]) -> dict[str | None, list[Ask]]:
        """What a thing waits for, each once: under the one joint that waits, or under None for all of it."""
        found: dict[tuple[Option, ...], tuple[Ask, set[str | None]]] = {}
        doing = (op for op in mine if op.kind is not Kind.RESTORE)  # when it is put away is no reason for it
        clauses = [(op.joint, clause) for op in doing for clause in self._clauses(op)]
        if not mine and self.plan is not None:
            aims = [target for target in self.plan.targets if target.part == key]
            clauses = [(None, clause) for clause in goals(self.graph, aims)]
        # What the place asks for comes last: it is not said again where another reason says it.
        for joint, clause in sorted(clauses, key=lambda one: one[1].reason.kind is Because.POSITION):
            ask = self._ask(key, clause)
            if ask is not None and not (clause.reason.kind is Because.POSITION and self._implied(ask, found)):
                found.setdefault(ask.ways, (ask, set()))[1].add(joint)
        sorted_out: dict[str | None, list[Ask]] = {}
        for ask, joints in found.values():
            sorted_out.setdefault(next(iter(joints)) if len(joints) == 1 else None, []).append(ask)
        return sorted_out

    def _implied(self, ask: Ask, found: Iterable[tuple[Option, ...]]) -> bool:
        """Whether a thing that is waited for anyway waits for the same, be it by others."""
        wanted = {way.thing for way in ask.ways}
        return any(wanted & self._before[ways[0].thing] for ways in found if len(ways) == 1)

    @cached_property
    def _before(self) -> dict[str, set[str]]:
        """For each thing all that has to be done before something of it, through needs of one way."""
        found: dict[str, set[str]] = {key: set() for key in self.by_thing}
        for op in self.done.values():  # in an order in which all that is waited for comes first
            mine = found.get(key_of(op), set())
            for clause in self.graph.needs.get(op.name, ()):
                if len(clause.any_of) == 1 and clause.any_of[0] in self.done:
                    other = key_of(self.done[clause.any_of[0]])
                    mine |= {other} | found.get(other, set())
        return found

    def _clauses(self, operation: Operation) -> Iterator[Clause]:
        for clause in self.graph.needs.get(operation.name, ()):
            if clause.reason.kind not in _UNSAID:
                yield clause
        for follow in self.graph.follows:
            renewed = follow.reason.kind is Because.RENEWED and follow.called_by(self.done.keys())
            if renewed and operation.name in (follow.first, *follow.also):
                yield Clause((follow.then,), follow.reason)
        for rule in self.graph.orders:
            if rule.after == operation.name and rule.before in self.done and rule.reason.kind not in _UNSAID:
                yield Clause((rule.before,), rule.reason)

    def _ask(self, key: str, clause: Clause) -> Ask | None:
        """What a clause asks; None where it asks only the thing itself, or nothing that is drawn or done."""
        ways = ways_of(clause, self.known)
        if all(thing == key for thing, _ in ways):
            return None
        said = [
            asked(self.machine, where, ops, len(ways) == 1 or any(op.name in self.done for op in ops), of=key)
            for where, ops in ways.items()
        ]
        if self.plan is None and len(said) > 1:
            said = [replace(way, taken=False) for way in said]
        elif self.plan is not None and not any(op.name in self.done for ops in ways.values() for op in ops):
            return None
        if self.kept is not None:
            said = [way for way in said if self._is_drawn(way.thing)]
        phrase, arrow = phrase_of(clause)
        return Ask(phrase, tuple(sorted(said, key=lambda way: not way.taken)), arrow) if said else None


def _places(thing: Boxed) -> Iterator[str]:
    yield thing.place
    yield from (row.place for row in thing.rows if row.place)
