"""Choosing the operations: branch and bound over partial choices, each bounded by an exact sequencing.

For a partial choice, the operations that are done for certain are sequenced without regard for clauses that
an undecided operation might meet (only what all members of such a clause have in common is waited for). More
operations never make that cheaper where the costs are closed, so it bounds every completion. When the order
found meets the clauses all the same, nothing below can be better; else the choice branches on an undecided
operation: one of a clause that was not met.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import lean
from sequencer.engine.choice.answer import Incumbent
from sequencer.engine.choice.appraisal import Appraisal
from sequencer.engine.choice.complete import Completer
from sequencer.engine.choice.needless import needless
from sequencer.engine.choice.probe import Probe
from sequencer.engine.choice.repair import repaired
from sequencer.engine.choice.selection import Partial, conclude
from sequencer.engine.memory import Memory
from sequencer.engine.problem import Problem, Progress
from sequencer.engine.sequence import sequence
from sequencer.engine.stop import Budget, close_enough
from sequencer.engine.waves.beam import BeamResult

GRACE = 200
"""Partial choices examined beyond a limit of states while no order is known; never beyond one of time."""

STRONG_AFTER = 3
"""Partial choices examined before time is spent on a stronger bound and on probing."""


@dataclass(frozen=True)
class SearchNode:
    """A partial choice and its bound."""

    partial: Partial
    key: int


class Choice:
    """The search over choices; its answer is true at any moment, whenever it is interrupted.

    Attributes:
        answer: The best order and the bound.
        possible: Whether there may be an order: False once every choice is ruled out.
    """

    def __init__(
        self, problem: Problem, budget: Budget, progress: Progress | None, memory: Memory | None = None
    ) -> None:
        self.budget = budget
        self.memory = memory or Memory()
        self.appraisal = Appraisal(problem, self.memory, budget)
        self.answer = Incumbent(problem, self.appraisal, progress)
        self.possible = True
        self._rules = self.appraisal.rules
        self._closed = self.appraisal.costs.closed
        self._completer = Completer(self.appraisal, self.answer, budget)
        self._probe = Probe(self.appraisal)
        self._setups = problem.setups
        self._floor: int | None = None
        self._queue: list[tuple[int, int, SearchNode]] = []
        self._serial = 0
        self._grace: int | None = None
        self._known = self.memory.floor(problem)
        self.answer.raise_floor(self._known)

    def run(self, warm: Sequence[int] | None, former: Sequence[int] = ()) -> None:
        """Search until the best is proven or a limit is reached.

        Args:
            warm: An order that may be a good start.
            former: The order of another problem, to begin with once it is made to fit this one.
        """
        root = conclude(self._rules, 0, self._rules.open)
        if root is None:
            self.possible = False
            return
        if self._closed and root.undecided:
            needed = self._rules.open & ~needless(self._rules, self._setups, self.budget)
            root = conclude(self._rules, 0, needed) or root
        if warm is not None:
            self.answer.consider(warm)
        if former:
            self.answer.consider(repaired(self.appraisal, root, former) or ())
        if not self._enough():
            self._completer.complete(root)
        self._push(SearchNode(root, self.appraisal.key(root, 0)))
        while self._queue and not self._enough() and self._queue[0][0] < self.answer.limit:
            self.budget.choices += 1
            if self.budget.choices == STRONG_AFTER:
                self._prepare(root)
                continue
            self._visit(heappop(self._queue)[2])
            self._settle()
        self.possible = self.answer.order is not None or bool(self._queue) or self._floor is not None
        self._settle()

    def _enough(self) -> bool:
        answer, gap = self.answer, self.budget.limits.gap
        if answer.order is None:
            return self._given_up()
        done = answer.cost <= self._known or (gap > 0 and close_enough(answer.cost, answer.bound, gap))
        return done or self.budget.over or self.budget.late

    def _given_up(self) -> bool:
        """Whether the search ends without an order: a question is worth some choices beyond its states."""
        if self._grace is None and self.budget.over:
            self._grace = self.budget.choices + GRACE
        return self.budget.late or (self._grace is not None and self.budget.choices >= self._grace)

    def _push(self, node: SearchNode) -> None:
        if node.key < self.answer.limit:
            self._serial += 1
            heappush(self._queue, (node.key, self._serial, node))

    def _prepare(self, root: Partial) -> None:
        """Set strong prices and probe; then begin anew with what that tells."""
        if self.answer.order is None or not root.undecided:
            return
        self.appraisal.strengthen(self.answer.order)
        decided = self._probe.run(root, self.answer.limit)
        self._queue = []
        if decided is not None:
            self._push(SearchNode(decided, self.appraisal.key(decided, 0)))

    def _add(self, node: SearchNode, chosen: int, allowed: int) -> None:
        """Queue what is left of a node when more is known about it."""
        child = conclude(self._rules, chosen, allowed)
        if child is not None:
            self._push(SearchNode(child, max(node.key, self.appraisal.key(child, 0))))

    def _visit(self, node: SearchNode) -> None:
        """Bound a partial choice, and branch where that doesn't settle it."""
        changes = self.appraisal.changes(node.partial)
        if changes is None:
            return
        key = max(node.key, self.appraisal.key(node.partial, changes))
        partial = self._fixed(node.partial, key)
        if partial is None:
            return
        node = SearchNode(partial, max(key, self.appraisal.key(partial, changes)))
        if node.key >= self.answer.limit:
            return
        if open_clauses := partial.open_clauses():
            self._branch(node, [clause for _, clause in open_clauses])
            return
        self._sequence(node)

    def _sequence(self, node: SearchNode) -> None:
        """Order what is chosen, and branch on a clause that the order breaks."""
        partial = node.partial
        cutoff = self.appraisal.room(partial, self.answer.limit)
        if cutoff <= 0:
            return
        literal = not self._closed and not partial.undecided
        if literal and not self._called_for(partial):
            return
        found = self._sequenced(node, cutoff, literal)
        if found.order is None and found.complete:
            return
        key = max(node.key, self.appraisal.key(partial, found.bound))
        node = SearchNode(partial, key)
        unmet: list[int] = []
        if found.order is not None:
            order = _named(partial, found.order)
            unmet = self.answer.unmet(order)
            if not unmet:
                self.answer.consider(order)
        if self.budget.over and self.answer.order is not None:
            self._push(node)
        elif partial.undecided:
            self._completer.complete(partial)
            self._branch(node, unmet)
        elif not found.complete:
            self._floor = node.key if self._floor is None else min(self._floor, node.key)
            if self.answer.order is None:
                self._completer.complete(partial)

    def _branch(self, node: SearchNode, unmet: list[int]) -> None:
        """Do an operation that may meet a clause, or leave it out; the one that decides most."""
        if node.key >= self.answer.limit:
            return
        partial = node.partial
        undecided = partial.undecided
        candidates = mask_of(op for clause in unmet for op in members(clause)) & undecided or undecided
        weight = self._probe.weight
        op = min(
            members(candidates), key=lambda op: (-weight.get(op, 0), self.appraisal.adding(partial, op), op)
        )
        self._add(node, partial.chosen | 1 << op, partial.allowed)
        self._add(node, partial.chosen, partial.allowed & ~(1 << op))

    def _fixed(self, partial: Partial, key: int) -> Partial | None:
        """Without operations that are too dear to be part of anything better."""
        while self.answer.order is not None:
            undecided = partial.undecided
            net = self._rules.net(partial.allowed)
            dear = 0
            for op in members(undecided):
                extra = (partial.before[op] | 1 << op) & undecided
                added = (
                    self.appraisal.unit * sum(max(0, net[other]) for other in members(extra))
                    + extra.bit_count()
                )
                if key + added >= self.answer.limit:
                    dear |= 1 << op
            if not dear:
                break
            reduced = conclude(self._rules, partial.chosen, partial.allowed & ~dear)
            if reduced is None:
                return None
            partial = reduced
        return partial

    def _called_for(self, partial: Partial) -> bool:
        """Whether the goals call for all that is chosen when nothing more is."""
        whole = conclude(self._rules, partial.chosen, partial.chosen)
        return whole is not None and whole.chosen == partial.chosen

    def _sequenced(self, node: SearchNode, cutoff: int, literal: bool) -> BeamResult:
        """The relaxed order of a partial choice, at closed costs (a bound) or literal ones."""
        partial = node.partial
        job = self.appraisal.job(partial)
        if not job.feasible:
            return BeamResult(None, cutoff, cutoff)
        costs = self.appraisal.costs if literal else job.costs
        job = Job(job.setups, lean(job.clauses), costs)

        def report(found: BeamResult) -> bool:
            if found.order is not None:
                self.answer.consider(_named(partial, found.order))
            self._settle(max(node.key, self.appraisal.key(partial, found.bound)))
            return self._enough() or self._unfit(partial, found)

        start = self._start(partial)
        return sequence(job, cutoff, self.budget, report, self.appraisal.prices, start, self.memory)

    def _unfit(self, partial: Partial, found: BeamResult) -> bool:
        """Whether an order of what is chosen breaks a clause that is still to be decided: time to branch."""
        if not partial.undecided or found.order is None:
            return False
        return bool(self.answer.unmet(_named(partial, found.order)))

    def _start(self, partial: Partial) -> list[int] | None:
        """The best order known, if it is of just what is chosen, by the numbers of a job of that."""
        order = self.answer.order
        if order is None or mask_of(order) != partial.chosen:
            return None
        number = {op: index for index, op in enumerate(members(partial.chosen))}
        return [number[op] for op in order]

    def _settle(self, current: int | None = None) -> None:
        """Bring the bound up to date: the least of what is queued, in work, or given up."""
        keys = [self._queue[0][0]] if self._queue else []
        keys += [key for key in (current, self._floor) if key is not None]
        self.answer.raise_bound(min(keys, default=self.answer.limit))


def _named(partial: Partial, order: Sequence[int]) -> list[int]:
    """The operations that the numbers of a job of chosen operations stand for."""
    ops = list(members(partial.chosen))
    return [ops[number] for number in order]
