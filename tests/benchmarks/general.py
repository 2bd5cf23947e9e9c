"""The same jobs for general-purpose solvers: OR-Tools CP-SAT with a circuit, and OR-Tools routing."""

from __future__ import annotations

from dataclasses import dataclass

from ortools.constraint_solver import pywrapcp, routing_enums_pb2
from ortools.sat.python import cp_model

from sequencer.engine import Problem


@dataclass(frozen=True)
class Outcome:
    """Cost and bound of the changes; None where there is none."""

    cost: int | None
    bound: int | None


def _arcs(problem: Problem) -> list[list[int]]:
    """Costs between nodes; node 0 is before the first operation and after the last."""
    n = len(problem.durations)
    first = [problem.starts[s] for s in problem.setups]
    rows = [[problem.changes[a][b] for b in problem.setups] for a in problem.setups]
    return [[0, *first], *([0, *rows[op]] for op in range(n))]


def _needs(problem: Problem) -> list[tuple[int, int]]:
    return [(clause[0], op) for op, own in enumerate(problem.needs) for clause in own]


def circuit(problem: Problem, seconds: float) -> Outcome:
    """CP-SAT: a circuit through all operations, with ranks for what comes earlier."""
    model = cp_model.CpModel()
    costs = _arcs(problem)
    n = len(problem.durations)
    rank = [model.new_int_var(1, n, "") for _ in range(n)]
    arcs, total = [], []
    for a in range(n + 1):
        for b in range(n + 1):
            if a != b:
                arc = model.new_bool_var("")
                arcs.append((a, b, arc))
                total.append(costs[a][b] * arc)
                if a and b:
                    model.add(rank[b - 1] == rank[a - 1] + 1).only_enforce_if(arc)
    model.add_circuit(arcs)
    for a, b in _needs(problem):
        model.add(rank[a] < rank[b])
    model.minimize(sum(total))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Outcome(round(solver.objective_value) if found else None, round(solver.best_objective_bound))


def _nearest(problem: Problem) -> list[int]:
    """An order by going to the nearest set-up every time; the routing library finds none by itself."""
    order: list[int] = []
    while len(order) < len(problem.durations):
        done = set(order)
        ready = [
            op
            for op, own in enumerate(problem.needs)
            if op not in done and all(done.intersection(clause) for clause in own)
        ]
        costs = problem.changes[problem.setups[order[-1]]] if order else problem.starts
        order.append(min(ready, key=lambda op: (costs[problem.setups[op]], op)))
    return order


def routing(problem: Problem, seconds: float) -> Outcome:
    """The routing library: one vehicle, guided local search, ranks as a dimension."""
    costs = _arcs(problem)
    size = len(costs)
    manager = pywrapcp.RoutingIndexManager(size, 1, 0)
    model = pywrapcp.RoutingModel(manager)
    transit = model.RegisterTransitCallback(
        lambda a, b: costs[manager.IndexToNode(a)][manager.IndexToNode(b)]
    )
    model.SetArcCostEvaluatorOfAllVehicles(transit)
    one = model.RegisterTransitCallback(lambda _a, _b: 1)
    model.AddDimension(one, 0, size + 1, True, "rank")
    rank = model.GetDimensionOrDie("rank")
    for a, b in _needs(problem):
        model.solver().Add(
            rank.CumulVar(manager.NodeToIndex(a + 1)) < rank.CumulVar(manager.NodeToIndex(b + 1))
        )
    parameters = pywrapcp.DefaultRoutingSearchParameters()
    parameters.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    parameters.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    parameters.time_limit.FromMilliseconds(int(1000 * seconds))
    model.CloseModelWithParameters(parameters)
    start = model.ReadAssignmentFromRoutes([[op + 1 for op in _nearest(problem)]], True)
    answer = model.SolveFromAssignmentWithParameters(start, parameters)
    return Outcome(answer.ObjectiveValue() if answer else None, None)
