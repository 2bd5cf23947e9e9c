"""Checks the numbers of a question about several people before anything is computed from them."""

from __future__ import annotations

from sequencer.engine.crew.crew_problem import CrewLimits, CrewProblem
from sequencer.engine.errors import ProblemError
from sequencer.engine.validate import check_ranges


def check(problem: CrewProblem) -> None:
    """Refuse a problem whose sizes, indices or times don't fit together.

    Raises:
        ProblemError: The field, the index and what is wrong with it.
    """
    if problem.people < 1:
        raise ProblemError(f"people is {problem.people}; at least one does the work")
    _sizes(problem)
    _times(problem)
    _operations(problem)
    _resources(problem)


def check_limits(limits: CrewLimits) -> None:
    """Refuse limits that can't be kept.

    Raises:
        ProblemError: Which limit, and its range.
    """
    check_ranges(limits.gap, work=limits.work, seconds=limits.seconds)


def _sizes(problem: CrewProblem) -> None:
    n, m = len(problem.durations), len(problem.starts)
    sized = [("roles", problem.roles, n), ("needs", problem.needs, n), ("changes", problem.changes, m)]
    sized += [("holds", problem.holds, m)] if problem.holds else []
    sized += [("demands", problem.demands, n)] if problem.demands else []
    for name, rows, size in sized:
        if len(rows) != size:
            raise ProblemError(f"{name} has {len(rows)} entries instead of {size}")
    for number, row in enumerate(problem.changes):
        if len(row) != m:
            raise ProblemError(f"changes[{number}] has {len(row)} entries instead of {m}")
        if row[number]:
            raise ProblemError(f"changes[{number}][{number}] is {row[number]} instead of 0")


def _times(problem: CrewProblem) -> None:
    rows = [("durations", problem.durations), ("starts", problem.starts)]
    rows += [(f"changes[{number}]", row) for number, row in enumerate(problem.changes)]
    for name, row in rows:
        for number, value in enumerate(row):
            if value < 0:
                raise ProblemError(f"{name}[{number}] is {value}; times are not negative")


def _operations(problem: CrewProblem) -> None:
    n, m = len(problem.durations), len(problem.starts)
    for op, roles in enumerate(problem.roles):
        if not 1 <= len(roles) <= problem.people:
            raise ProblemError(f"roles[{op}] takes {len(roles)} people; there are {problem.people}")
        if len(roles) > 1 and not problem.durations[op]:
            raise ProblemError(f"durations[{op}] is 0; what takes several people lasts")
        if any(not 0 <= setup < m for setup in roles):
            raise ProblemError(f"roles[{op}] is {roles}; set-ups are 0 to {m - 1}")
        for clause in problem.needs[op]:
            if any(not 0 <= other < n for other in clause):
                raise ProblemError(f"needs[{op}] has {clause}, but operations are 0 to {n - 1}")


def _resources(problem: CrewProblem) -> None:
    count = len(problem.resources)
    for number, resource in enumerate(problem.resources):
        if resource.capacity < 1 or resource.take < 0 or resource.give < 0:
            raise ProblemError(f"resources[{number}] is {resource}; there is at least one of a thing")
    for setup, held in enumerate(problem.holds):
        if any(not 0 <= r < count for r in held) or len(set(held)) != len(held):
            raise ProblemError(f"holds[{setup}] is {held}; resources are 0 to {count - 1}, each once")
    for op in range(len(problem.durations)):
        for r, amount in problem.using(op):
            if not 0 <= r < count or not 0 <= amount <= problem.resources[r].capacity:
                raise ProblemError(f"demands[{op}] has ({r}, {amount}), which no resource can give")
    for op, roles in enumerate(problem.roles):
        for r in {r for setup in roles if problem.holds for r in problem.holds[setup]}:
            used = [amount for other, amount in problem.using(op) if other == r]
            used += [1 for setup in roles if r in problem.holds[setup]]
            if sum(used) > problem.resources[r].capacity:
                raise ProblemError(f"roles[{op}] takes more of resource {r} than there is")
