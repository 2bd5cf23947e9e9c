"""Choosing the operations: branch and bound over partial choices, each bounded by an exact sequencing.

For a partial choice, the operations that are done for certain are sequenced without regard for clauses that an
undecided operation might meet (only what all members of such a clause have in common is waited for). More
operations never make that cheaper where the costs are closed, so it bounds every completion. When the order
found meets the clauses all the same, nothing below can be better; else the choice branches on an undecided
operation: one of a clause that was not met. Among equal costs, fewer operations win: costs are counted in units of
1 / (n + 1), and every operation costs one of these.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from sequencer.engine.beam import Found, beam
from sequencer.engine.bits import mask_of, members
from sequencer.engine.bounds import RunBound
from sequencer.engine.costs import Costs
from sequencer.engine.job import Job
from sequencer.engine.completion import open_handling
from sequencer.engine.merge import lean, merge
from sequencer.engine.problem import Problem
from sequencer.engine.selection import Partial, Rules, conclude
from sequencer.engine.sequence import greedy, sequence
from sequencer.engine.stop import Budget, close_enough


NARROW = 10
"""Width of the search for a first order of a whole choice."""


@dataclass(frozen=True)
class Best:
    """The best answer so far: an order of operations and its cost."""

    order: tuple[int, ...]
    cost: int


class Choice:
    """The search over choices; ``best`` and ``bound`` are true at any moment, whenever it is interrupted."""

    def __init__(self, problem: Problem, budget: Budget, report: Callable[[int, int], None] | None) -> None:
        self.problem = problem
        self.rules = Rules.of(problem)
        self.costs = Costs(problem.changes, problem.starts)
        self.budget = budget
        self.best: Best | None = None
        self.bound = 0
        self.possible = True
        self._unit = len(problem.durations) + 1
        self._dearest = (
            self._unit * max([0, *problem.starts, *(max(row) for row in problem.changes)]) + 1
        )  # more than the changes of any order
        self._report = report
        self._told: tuple[int, int] | None = None
        self._limit = -1
        self._floor: int | None = None
        self._queue: list[tuple[int, int, Partial, int]] = []
        self._serial = 0
        self._known: dict[tuple[int, tuple[tuple[int, ...], ...]], Found] = {}
        self._tried: set[int] = set()
        self._prices: RunBound | None = None

    def run(self, warm: Sequence[int] | None) -> None:
        """Search until the best is proven or a limit is reached."""
        root = conclude(self.rules, 0, self.rules.open)
        if root is None:
            self.possible = False
            return
        if warm is not None:
            self._consider(list(warm))
        self._at_least(root)
        self._complete(root)
        self._push(root, 0, 0)
        while self._queue and not self._enough():
            key, _, partial, plain = self._queue[0]
            if self.best is not None and key >= self._limit:
                break
            heappop(self._queue)
            self._current = key
            self._visit(partial, key, plain)
            self._settle()
        if self.best is None:
            self.possible = bool(self._queue)
        else:
            self._settle()

    def _enough(self) -> bool:
        if self.best is None:
            return False
        return (
            self.budget.over
            or close_enough(self.best.cost, self.bound, self.budget.limits.gap)
            and (self.budget.limits.gap > 0)
        )

    def _push(self, partial: Partial, key: int, plain: int) -> None:
        """Queue a partial choice under its bound, in the fine units."""
        key = max(key, self._key(partial, 0))
        if self.best is None or key < self._limit:
            self._serial += 1
            heappush(self._queue, (key, self._serial, partial, plain))

    def _key(self, partial: Partial, changes: int) -> int:
        """A bound in the fine units from a bound on the changes."""
        open_clauses = open_handling(partial, self.rules.net(partial.allowed))
        return self._plain_key(partial, changes) + self._unit * open_clauses

    def _plain_key(self, partial: Partial, changes: int) -> int:
        """The same without what the open clauses still call for."""
        rules = self.rules
        undecided = partial.undecided
        slack = sum(min(0, n) for op, n in enumerate(rules.net(partial.allowed)) if undecided >> op & 1)
        handling = rules.handling(partial.chosen) + slack
        return self._unit * (handling + changes) + partial.chosen.bit_count()

    def _visit(self, partial: Partial, key: int, plain: int) -> None:
        """Bound a partial choice, and branch where that doesn't settle it."""
        self.budget.choices += 1
        changes = self._at_least(partial)
        if changes is None:
            return
        plain = max(plain, self._plain_key(partial, changes))
        reduced = self._fixed(partial, plain)
        if reduced is None:
            return
        partial = reduced
        key = max(key, plain, self._key(partial, changes))
        if self.best is not None and key >= self._limit:
            return
        if open_clauses := partial.open_clauses():
            self._branch(partial, [clause for _, clause in open_clauses], key, plain, complete=False)
            return
        cutoff = self._dearest
        if self.best is not None:
            room = self._limit - self._key(partial, 0)
            cutoff = min(cutoff, -(-room // self._unit))
        if cutoff <= 0:
            return
        found = self._sequenced(partial, cutoff, key)
        key = max(key, self._key(partial, found.bound))
        plain = max(plain, self._plain_key(partial, found.bound))
        if found.order is None and found.complete:
            return
        unmet: list[int] = []
        if found.order is not None:
            ops = list(members(partial.chosen))
            order = [ops[number] for number in found.order]
            unmet = self._unmet(order)
            if not unmet:
                self._consider(order)
        if self.budget.over and self.best is not None:
            self._push(partial, key, plain)
            return
        self._complete(partial)
        self._branch(partial, unmet, key, plain, found.complete)

    def _branch(self, partial: Partial, unmet: list[int], key: int, plain: int, complete: bool) -> None:
        undecided = partial.undecided
        if not undecided:
            if not (complete if self.costs.closed else self._literal(partial.chosen)):
                self._floor = key if self._floor is None else min(self._floor, key)
            return
        if self.best is not None and key >= self._limit:
            return
        candidates = mask_of(op for clause in unmet for op in members(clause)) & undecided or undecided
        net = self.rules.net(partial.allowed)

        def price(op: int) -> tuple[int, int]:
            return sum(net[other] for other in members((partial.before[op] | 1 << op) & undecided)), op

        op = min(members(candidates), key=price)
        for chosen, allowed in (
            (partial.chosen | 1 << op, partial.allowed),
            (partial.chosen, partial.allowed & ~(1 << op)),
        ):
            child = conclude(self.rules, chosen, allowed)
            if child is not None:
                self._push(child, key, plain)

    def _fixed(self, partial: Partial, plain: int) -> Partial | None:
        """Without operations that are too dear to be part of anything better."""
        while self.best is not None:
            undecided = partial.undecided
            net = self.rules.net(partial.allowed)
            dear = 0
            for op in members(undecided):
                extra = (partial.before[op] | 1 << op) & undecided
                added = self._unit * sum(max(0, net[other]) for other in members(extra)) + extra.bit_count()
                if plain + added >= self._limit:
                    dear |= 1 << op
            if not dear:
                break
            reduced = conclude(self.rules, partial.chosen, partial.allowed & ~dear)
            if reduced is None:
                return None
            partial = reduced
        return partial

    def _job(self, partial: Partial) -> Job:
        """The chosen operations, with clauses that undecided ones might meet relaxed."""
        rules, chosen, undecided = self.rules, partial.chosen, partial.undecided
        ops = list(members(chosen))
        number = {op: index for index, op in enumerate(ops)}
        clauses: list[list[int]] = []
        for op in ops:
            own = [1 << number[other] for other in members(partial.before[op])]
            own += [
                mask_of(number[other] for other in members(clause & chosen))
                for clause in rules.clauses[op]
                if not clause & undecided
            ]
            clauses.append(own)
        for a, b in rules.orders:
            if chosen >> a & 1 and chosen >> b & 1:
                clauses[number[b]].append(1 << number[a])
        setups = tuple(self.problem.setups[op] for op in ops)
        return Job(setups, tuple(map(tuple, clauses)), self.costs.closure)

    def _at_least(self, partial: Partial) -> int | None:
        """A bound on the changes of a partial choice, without any search; None when it has no order."""
        job = self._job(partial)
        if not job.feasible:
            return None
        job = merge(Job(job.setups, lean(job.clauses), job.costs)).job
        if self._prices is None:
            used = {self.problem.setups[op] for op in members(self.rules.open)}
            self._prices = RunBound(job, used=sorted(used))
        return RunBound(job, self._prices).beginning(job)

    def _sequenced(self, partial: Partial, cutoff: int, key: int) -> Found:
        """The relaxed order of a partial choice, remembered."""
        job = self._job(partial)
        if not job.feasible:
            return Found(None, cutoff, cutoff)
        job = Job(job.setups, lean(job.clauses), job.costs)
        same = (partial.chosen, job.clauses)
        known = self._known.get(same)
        if known is not None and (known.complete or known.bound >= cutoff):
            return known if known.cost < cutoff else Found(None, cutoff, cutoff)

        def report(found: Found) -> None:
            if found.order is not None:
                ops = list(members(partial.chosen))
                order = [ops[number] for number in found.order]
                if not self._unmet(order):
                    self._consider(order)
            self._settle(max(key, self._key(partial, found.bound)))

        found = sequence(job, cutoff, self.budget, None, report)
        self._known[same] = found
        return found

    def _unmet(self, order: Sequence[int]) -> list[int]:
        """The clauses that an order breaks; the goals too."""
        rules = self.rules
        done = 0
        unmet = []
        for op in order:
            unmet += [clause for clause in rules.clauses[op] if not clause & done]
            done |= 1 << op
        return unmet + [goal for goal in rules.goals if not goal & done]

    def _complete(self, partial: Partial) -> None:
        """Make a whole choice out of a partial one, cheapest members first, and put it in order."""
        while open_clauses := partial.open_clauses():
            net = self.rules.net(partial.allowed)
            _, clause = open_clauses[0]
            undecided = partial.undecided

            def price(op: int, undecided: int = undecided, net: list[int] = net, now: Partial = partial):
                return sum(net[o] for o in members((now.before[op] | 1 << op) & undecided)), op

            op = min(members(clause & partial.allowed), key=price)
            grown = conclude(self.rules, partial.chosen | 1 << op, partial.allowed)
            if grown is None:
                return
            partial = grown
        if partial.chosen not in self._tried:
            self._tried.add(partial.chosen)
            closed = conclude(self.rules, partial.chosen, partial.chosen)
            if closed is not None and closed.chosen == partial.chosen:
                job = self._job(closed)
                if job.feasible:
                    ops = list(members(closed.chosen))
                    self._consider([ops[number] for number in greedy(job)])
                    self._look(closed)

    def _look(self, whole: Partial) -> None:
        """A narrow search for a good order of a whole choice."""
        job = self._job(whole)
        merged = merge(Job(job.setups, lean(job.clauses), job.costs))
        room = self._limit - self._key(whole, 0)
        cutoff = min(self._dearest, -(-room // self._unit))
        if cutoff > 0:
            found = beam(merged.job, RunBound(merged.job, self._prices), NARROW, cutoff, self.budget)
            if found.order is not None:
                ops = list(members(whole.chosen))
                self._consider([ops[number] for number in merged.unfold(found.order)])

    def _literal(self, chosen: int) -> bool:
        """Sequence a whole choice at its literal costs, where these are not closed; whether to the end."""
        whole = conclude(self.rules, chosen, chosen)
        if whole is None or whole.chosen != chosen:
            return True
        job = self._job(whole)
        job = Job(job.setups, job.clauses, self.costs)
        cutoff = self._dearest
        if self.best is not None:
            cutoff = min(cutoff, -(-(self._limit - self._key(whole, 0)) // self._unit))
        found = sequence(job, cutoff, self.budget)
        if found.order is not None:
            ops = list(members(chosen))
            self._consider([ops[number] for number in found.order])
        return found.complete

    def _consider(self, order: list[int]) -> None:
        """Take an order as the best if it is valid and better."""
        if not self.valid(order):
            return
        chosen = mask_of(order)
        cost = self.rules.handling(chosen) + self.costs.of([self.problem.setups[op] for op in order])
        fine = self._unit * cost + len(order)
        if self.best is None or fine < self._limit:
            self._limit = fine
            self.best = Best(tuple(order), cost)
            self._tell()

    def valid(self, order: Sequence[int]) -> bool:
        """Whether an order keeps every rule."""
        rules = self.rules
        chosen = mask_of(order)
        if len(set(order)) != len(order) or chosen & ~rules.open or self._unmet(order):
            return False
        place = {op: number for number, op in enumerate(order)}
        if any(a in place and b in place and place[a] > place[b] for a, b in rules.orders):
            return False
        return not rules.fired(chosen) & ~chosen and rules.called(chosen) == chosen

    def _settle(self, current: int | None = None) -> None:
        """Bring the bound up to date: the least of the queue, of what is in work, and of the best."""
        keys = [self._queue[0][0]] if self._queue else []
        if current is not None:
            keys.append(current)
        if self.best is not None:
            keys.append(self._limit)
        if self._floor is not None:
            keys.append(self._floor)
        if keys:
            bound = -(-(min(keys) - len(self.problem.durations)) // self._unit)
            if bound > self.bound:
                self.bound = bound
                self._tell()

    def _tell(self) -> None:
        if self._report is not None and self.best is not None and self._told != (self.best.cost, self.bound):
            self._told = (self.best.cost, self.bound)
            self._report(self.best.cost, self.bound)
