"""Whether any order of a job keeps certain rules: a search in depth that looks for one, not for the best.

Orders and blocks (a ``PracticeWhile`` that lets next to nothing come between) are asked in the time of the
graph. There, doing more never forbids anything: a block that could be done is still possible after others.
So where no step is left outside a block, no order exists at all, and no step has to be taken back to know
it. What is said about leaving a place is asked in the order of work, where there is always something to
stay for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sequencer.graph.explain import rules_as_clauses
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import PracticeStay, PracticeWhile, Rule

MOST_STEPS = 4_000
"""Steps tried before the question is given up."""

NEXT_TO_NOTHING = 4
"""What a block lets come between, at the most; none of them forbids anything to another."""


def some_order(
    job: PracticeJob,
    rules: Sequence[Rule],
    plain: Sequence[str],
    *,
    by_place: bool = True,
) -> tuple[str, ...] | None:
    """An order that keeps all the rules, in the time of the graph; empty: there is none.

    None: not found out within so many steps. ``plain`` is the order without rules, in the time of the graph;
    it says what is tried first; ``by_place``: after what is at the same place.
    """
    stays = [stay for rule in rules for stay in rule.stays]
    whiles = [w for rule in rules for w in rule.whiles]
    turned = job.back and bool(stays)
    if turned:
        stays, whiles, plain = [s.turned() for s in stays], [w.turned() for w in whiles], plain[::-1]
    found = _Search(job, rules, stays, whiles, plain, turned=turned, by_place=by_place).run(MOST_STEPS)
    if found is None:
        return None
    names = tuple(plain[number] for number in found)
    return names[::-1] if turned else names


@dataclass(frozen=True)
class _Condition:
    after: int
    until: int
    first: int
    then: int
    lifts: bool = True

    def active(self, done: int) -> bool:
        return not self.after & ~done and not self.until & done


class _Search:
    """Sets of operations as bits, numbered as they are tried first."""

    def __init__(
        self,
        job: PracticeJob,
        rules: Iterable[Rule],
        stays: Sequence[PracticeStay],
        whiles: Sequence[PracticeWhile],
        plain: Sequence[str],
        *,
        turned: bool,
        by_place: bool,
    ) -> None:
        self.turned = turned
        self.bit = {name: 1 << number for number, name in enumerate(plain)}
        self.all = (1 << len(plain)) - 1
        clauses = rules_as_clauses(job.graph)
        self.needs: list[list[int]] = [
            [self.bits(c.any_of) for c in (*job.graph.needs[name], *clauses.get(name, ()))] for name in plain
        ]
        place = {name: number for number, name in enumerate(plain)}
        for before, after in (pair for rule in rules for pair in rule.orders):
            self.needs[place[after]].append(self.bit[before])
        self.whiles = [
            _Condition(self.bits(w.after), self.bits(w.until), 0, self.bits(w.only | w.until), w.lifts)
            for w in whiles
        ]
        self.stays = [
            _Condition(self.bits(s.after), self.bits(s.until), self.bits(s.leaving), self.bits(s.entering))
            for s in stays
        ]
        self.blocks_only = not stays and all(len(w.only) <= NEXT_TO_NOTHING for w in whiles)
        at: dict[str, int] = {}
        for name in plain:
            position = job.operation(name).position
            at[position] = at.get(position, 0) | self.bit[name]
        self.near = [at[job.operation(name).position] if by_place else 0 for name in plain]

    def bits(self, names: Iterable[str]) -> int:
        found = 0
        for name in names:
            found |= self.bit[name]
        return found

    def run(self, most: int) -> tuple[int, ...] | None:
        """Go on with the first step that is possible, back where there is none."""
        dead: set[tuple[int, int]] = set()
        stack = [(0, -1, self.moves(0, -1))]
        for _ in range(most):
            done, last, moves = stack[-1]
            if done == self.all:
                return tuple(step for _, step, _ in stack[1:])
            step = next((m for m in moves if (done | 1 << m, m if self.stays else -1) not in dead), None)
            if step is not None:
                done |= 1 << step
                stack.append((done, step, self.moves(done, step)))
                continue
            if len(stack) == 1 or (self.blocks_only and not self._in_block(done)):
                return ()
            dead.add((done, last if self.stays else -1))
            stack.pop()
        return None

    def _in_block(self, done: int) -> bool:
        return any(w.active(done) for w in self.whiles)

    def moves(self, done: int, last: int) -> Iterator[int]:
        """What may come next; what is at the same place first."""
        allowed, lifted = self.all & ~done, False
        for w in self.whiles:
            if w.active(done):
                allowed, lifted = allowed & w.then, lifted or w.lifts
        if last >= 0 and not lifted:
            for stay in self.stays:
                if stay.first >> last & 1 and stay.active(done):
                    allowed &= ~stay.then
        here = self.near[last] if last >= 0 else 0
        for choice in (allowed & here, allowed & ~here):
            for number in range(choice.bit_length()):
                if choice >> number & 1 and self._free(number, done):
                    yield number

    def _free(self, number: int, done: int) -> bool:
        if not self.turned:
            return all(clause & done for clause in self.needs[number])
        done |= 1 << number  # in the order of work: nothing that is left may lack what comes after it
        return all(
            clause & ~done
            for other, clauses in enumerate(self.needs)
            if not done >> other & 1 or other == number
            for clause in clauses
        )
