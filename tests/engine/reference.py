"""Two references that share no line with the engine: blind enumeration, and a plain CP-SAT model."""

from __future__ import annotations

from itertools import combinations, pairwise, permutations

from sequencer.engine import Problem


def cost_of(problem: Problem, order: tuple[int, ...]) -> int | None:
    """The cost of an order by the letter of the interface; None when it breaks a rule or has an extra."""
    have = set(problem.done)
    for op in order:
        if op in have:
            return None
        for clause in problem.needs[op]:
            if not have & set(clause):
                return None
        have.add(op)
    if any(not have & set(goal) for goal in problem.goals):
        return None
    for a, b in problem.orders:
        if a in order and b in order and order.index(a) > order.index(b):
            return None
    if not keeps_gaps(problem, order):
        return None
    chosen = set(order)
    fired = set()
    for t in problem.triggers:
        if all(have & set(side) for side in (t.left, t.right, *t.also)):
            if t.then not in have:
                return None
            fired.add(t.then)
    if not _asked_for(problem, chosen, have, fired):
        return None
    total = sum(problem.durations[op] for op in order)
    for s in problem.savings:
        if {s.first, s.second} <= have and {s.first, s.second} & chosen:
            total -= s.amount
    if order:
        total += problem.starts[problem.setups[order[0]]]
    for a, b in pairwise(order):
        total += problem.changes[problem.setups[a]][problem.setups[b]]
    return total


def keeps_gaps(problem: Problem, order: tuple[int, ...]) -> bool:
    """Whether an order keeps every while and every stay."""
    for place, op in enumerate(order):
        have = set(problem.done) | set(order[:place])
        binding = [w for w in problem.whiles if set(w.after) <= have and not set(w.until) & have]
        if any(op not in w.only and op not in w.until for w in binding):
            return False
        if place and not any(w.lifts for w in binding):
            old, new = problem.setups[order[place - 1]], problem.setups[op]
            for s in problem.stays:
                active = set(s.after) <= have and not set(s.until) & have
                if active and old in s.leaving and new in s.entering:
                    return False
    return True


def _asked_for(problem: Problem, chosen: set[int], have: set[int], fired: set[int]) -> bool:
    """Whether the goals ask for every chosen operation, or the needs or triggers of what they ask for."""
    asked: set[int] = set()
    for goal in problem.goals:
        if not set(goal) & problem.done:
            asked |= set(goal) & chosen
    while True:
        more = set(asked)
        for op in asked:
            for clause in problem.needs[op]:
                if not set(clause) & problem.done:
                    more |= set(clause) & chosen
        known = asked | set(problem.done)
        for t in problem.triggers:
            if all(known & set(side) for side in (t.left, t.right, *t.also)):
                more |= {t.then} & chosen
        if more == asked:
            return asked == chosen
        asked = more


def blind(problem: Problem) -> tuple[int, int] | None:
    """The least (cost, number of operations) over every order of every set of operations."""
    best: tuple[int, int] | None = None
    ops = [op for op in range(len(problem.durations)) if op not in problem.done]
    for count in range(len(ops) + 1):
        for chosen in combinations(ops, count):
            for order in permutations(chosen):
                cost = cost_of(problem, order)
                if cost is not None and (best is None or (cost, count) < best):
                    best = (cost, count)
    return best
