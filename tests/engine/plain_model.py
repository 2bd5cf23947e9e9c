"""A plain CP-SAT model of a problem, written for the tests alone; it knows nothing of the engine's methods.

Operations have ranks; the changes are a circuit through the chosen ones.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from sequencer.engine import Problem


def least_cost(problem: Problem) -> int | None:
    """The least cost, or None when nothing meets the goals."""
    model = cp_model.CpModel()
    ops = [op for op in range(len(problem.durations)) if op not in problem.done]
    n = len(ops)
    chosen = {op: model.new_bool_var(f"x{op}") for op in ops}
    rank = {op: model.new_int_var(1, max(1, n), f"r{op}") for op in ops}
    costs = [problem.durations[op] * chosen[op] for op in ops]
    costs += _circuit(model, problem, ops, chosen, rank)
    for op in ops:
        for clause in problem.needs[op]:
            if not set(clause) & problem.done:
                _before_one_of(model, op, [o for o in clause if o in chosen and o != op], chosen, rank)
    for goal in problem.goals:
        if not set(goal) & problem.done:
            model.add_bool_or([chosen[o] for o in goal])
    for a, b in problem.orders:
        if a in chosen and b in chosen:
            model.add(rank[a] < rank[b]).only_enforce_if(chosen[a], chosen[b])
    one = model.new_constant(1)
    for t in problem.triggers:
        if t.then not in problem.done:
            for a in t.left:
                for b in t.right:
                    model.add_bool_or(
                        [chosen.get(a, one).negated(), chosen.get(b, one).negated(), chosen[t.then]]
                    )
    for s in problem.savings:
        if not {s.first, s.second} <= problem.done:
            both = model.new_bool_var("both")
            model.add_implication(both, chosen.get(s.first, one))
            model.add_implication(both, chosen.get(s.second, one))
            costs.append(-s.amount * both)
    _called_for(model, problem, ops, chosen)
    model.minimize(sum(costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    return round(solver.objective_value)


def _circuit(model, problem, ops, chosen, rank):
    node = {op: number for number, op in enumerate(ops, start=1)}
    empty = model.new_bool_var("empty")
    arcs = [(0, 0, empty)] + [(node[op], node[op], chosen[op].negated()) for op in ops]
    costs = []
    for op in ops:
        first, last = model.new_bool_var(""), model.new_bool_var("")
        arcs += [(0, node[op], first), (node[op], 0, last)]
        costs.append(problem.starts[problem.setups[op]] * first)
        model.add_implication(empty, chosen[op].negated())
    for a in ops:
        for b in ops:
            if a != b:
                arc = model.new_bool_var("")
                arcs.append((node[a], node[b], arc))
                model.add(rank[b] >= rank[a] + 1).only_enforce_if(arc)
                costs.append(problem.changes[problem.setups[a]][problem.setups[b]] * arc)
    model.add_circuit(arcs)
    return costs


def _before_one_of(model, op, others, chosen, rank):
    uses = []
    for other in others:
        use = model.new_bool_var("")
        model.add_implication(use, chosen[other])
        model.add(rank[other] < rank[op]).only_enforce_if(use)
        uses.append(use)
    model.add_bool_or(uses).only_enforce_if(chosen[op]) if uses else model.add(chosen[op] == 0)


def _called_for(model, problem, ops, chosen):
    """Every chosen operation is called for from the goals, at a depth greater than what calls for it."""
    depth = {op: model.new_int_var(0, len(ops), "") for op in ops}
    for op in ops:
        reasons = []
        if any(op in goal for goal in problem.goals if not set(goal) & problem.done):
            continue
        for other in ops:
            clauses = [c for c in problem.needs[other] if not set(c) & problem.done]
            if other != op and any(op in clause for clause in clauses):
                reason = model.new_bool_var("")
                model.add_implication(reason, chosen[other])
                model.add(depth[other] < depth[op]).only_enforce_if(reason)
                reasons.append(reason)
        for t in problem.triggers:
            if t.then == op:
                for a in t.left:
                    for b in t.right:
                        reason = model.new_bool_var("")
                        for side in {a, b} - problem.done:
                            model.add_implication(reason, chosen[side])
                            model.add(depth[side] < depth[op]).only_enforce_if(reason)
                        reasons.append(reason)
        model.add_bool_or(reasons).only_enforce_if(chosen[op]) if reasons else model.add(chosen[op] == 0)
