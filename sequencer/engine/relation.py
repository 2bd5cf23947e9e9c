"""What the answer to one problem says about another: bounds that stay true, and ends of orders.

With more goals, needs or rules nothing becomes cheaper: leave out of an answer what only the new ones call
for, and an answer to the former problem is left that costs no more. That rests on closed costs (a step less
makes no way dearer) and on savings that no operation has more of than it takes itself.
"""

from __future__ import annotations

from collections.abc import Iterable

from sequencer.engine.base.bits import members
from sequencer.engine.base.costs import Costs
from sequencer.engine.choice.selection import Rules, conclude
from sequencer.engine.problem import Clause, Problem, Result, Status


def floor(former: Problem, result: Result, problem: Problem) -> int | None:
    """A bound on ``problem`` that follows from a former answer; None when nothing follows.

    An impossible problem has no bound: see ``rules_out``.
    """
    if result.status is Status.IMPOSSIBLE or not _same_operations(former, problem):
        return None
    if former == problem:
        return result.bound
    if (former.done, former.starts) != (problem.done, problem.starts):
        return None
    if not (_as_strict(former, problem) and _monotone(problem)):
        return None
    return result.bound + _more_for_certain(former, problem)


def rules_out(former: Problem, result: Result, problem: Problem) -> bool:
    """Whether ``problem`` is impossible because a former one was that asked for no more."""
    return (
        result.status is Status.IMPOSSIBLE
        and former.done == problem.done
        and _same_operations(former, problem)
        and _as_strict(former, problem)
    )


def _same_operations(former: Problem, problem: Problem) -> bool:
    return len(former.durations) == len(problem.durations)


def _as_strict(former: Problem, problem: Problem) -> bool:
    """Whether every rule of ``former`` is kept by all that keeps those of ``problem``, at the same costs."""
    return (
        (former.durations, former.setups, former.changes, former.starts)
        == (problem.durations, problem.setups, problem.changes, problem.starts)
        and set(former.orders) <= set(problem.orders)
        and set(former.triggers) <= set(problem.triggers)
        and set(former.savings) == set(problem.savings)
        and _gaps_as_strict(former, problem)
        and _implied(former.goals, problem.goals, problem.done)
        and all(
            old == new or _implied(old, new, problem.done)
            for old, new in zip(former.needs, problem.needs, strict=True)
        )
    )


def _gaps_as_strict(former: Problem, problem: Problem) -> bool:
    """The same for rules about gaps: one ``While`` more keeps a ``Stay`` from binding where it is active."""
    if former.stays and set(former.whiles) != set(problem.whiles):
        return False
    return set(former.whiles) <= set(problem.whiles) and set(former.stays) <= set(problem.stays)


def _implied(former: Iterable[Clause], clauses: Iterable[Clause], done: frozenset[int]) -> bool:
    """Whether every former clause is met wherever ``clauses`` are."""
    sets = [set(clause) for clause in clauses if not done & set(clause)]
    return all(done & set(old) or any(new <= set(old) for new in sets) for old in former)


def _monotone(problem: Problem) -> bool:
    """Whether leaving out an operation that nothing calls for never makes an answer dearer."""
    saved = [0] * len(problem.durations)
    for saving in problem.savings:
        for op in {saving.first, saving.second}:
            saved[op] += saving.amount
    enough = all(s <= d for s, d in zip(saved, problem.durations, strict=True))
    return enough and Costs(problem.changes, problem.starts).closed


def _more_for_certain(former: Problem, problem: Problem) -> int:
    """What the operations take that ``problem`` can't do without and ``former`` never calls for.

    They are among those that are left out of an answer to come to one of ``former``.
    """
    rules, known = Rules.of(problem), Rules.of(former)
    root = conclude(rules, 0, rules.open)
    if root is None:
        return 0
    more = set(members(root.chosen & ~known.called(known.open)))
    saved = sum(s.amount * len({s.first, s.second} & more) for s in problem.savings)
    return sum(problem.durations[op] for op in more) - saved
