"""Operations that another can always stand in for: out of the question before any choice is made.

Another may take the place of an operation in every order when it serves wherever the operation serves, is
free whenever it is, sits in the same set-up, calls for nothing more, and takes no longer than the operation
with all that is done for its sake alone. Then some best order does without the operation. (Moving a thing
aside can stand in for taking it off, wherever aside will do.) This rests on closed costs: leaving an
operation out never makes an order dearer.
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.choice.selection import Rules
from sequencer.engine.stop import Budget


def needless(rules: Rules, setups: Sequence[int], budget: Budget) -> int:
    """The operations that a best order can do without, whatever else it does; costs must be closed.

    Where time is up first, those that were found by then.
    """
    allowed, before = rules.concluded(rules.open)
    found = 0
    for op in members(allowed):
        if budget.late:
            break
        if _has_stand_in(rules, setups, op, allowed & ~found, before[op]):
            found |= 1 << op
            allowed, before = rules.concluded(rules.open & ~found)
    return found


def _has_stand_in(rules: Rules, setups: Sequence[int], op: int, allowed: int, before: int) -> bool:
    """Whether something else in ``allowed`` can stand in for ``op``; ``before`` always precedes ``op``."""
    serves = _clauses_with(rules, op, allowed)
    if not serves or not allowed >> op & 1 or _is_special(rules, op):
        return False
    common = allowed & ~(1 << op)
    for clause in serves:
        common &= clause
    return any(
        setups[other] == setups[op]
        and not _is_special(rules, other)
        and all(
            clause & before or any(not own & ~clause for own in rules.clauses[op])
            for clause in rules.clauses[other]
        )
        and _keeps_orders(rules, op, other, before)
        and _calls_no_more(rules, op, other)
        and rules.durations[other] <= rules.durations[op] + _for_its_sake(rules, op, allowed, before)
        for other in members(common)
    )


def _clauses_with(rules: Rules, op: int, allowed: int) -> list[int]:
    """The clauses of goals and operations that ``op`` may meet."""
    found = [goal for goal in rules.goals if goal >> op & 1]
    found += [clause for user in members(allowed) for clause in rules.clauses[user] if clause >> op & 1]
    return found


def _is_special(rules: Rules, op: int) -> bool:
    """Whether savings or a call by two others hang on an operation: such are left alone."""
    saving = any(pair >> op & 1 for pair, _ in rules.savings)
    return saving or any(then == op for _, then in rules.triggers)


def _keeps_orders(rules: Rules, op: int, other: int, before: int) -> bool:
    """Whether ``other`` in the place of ``op`` comes after and before all that it has to."""
    orders = set(rules.orders)
    for a, b in orders:
        if b == other and a != op and (a, op) not in orders and not before >> a & 1:
            return False
        if a == other and b != op and (op, b) not in orders:
            return False
    return True


def _calls_no_more(rules: Rules, op: int, other: int) -> bool:
    """Whether every trigger that ``other`` takes part in has ``op`` on the same side."""
    return all(not side >> other & 1 or side >> op & 1 for sides, _ in rules.triggers for side in sides)


def _for_its_sake(rules: Rules, op: int, allowed: int, before: int) -> int:
    """The durations of what always precedes ``op``, and only it asks for, directly or through such."""
    asked = 1 << op
    grown = True
    while grown:
        grown = False
        wanted = mask_of(o for user in members(asked) for c in rules.clauses[user] for o in members(c))
        for other in members(wanted & before & allowed & ~asked):
            users = {
                user for user in members(allowed) for clause in rules.clauses[user] if clause >> other & 1
            }
            goal = any(clause >> other & 1 for clause in rules.goals)
            if not goal and not _is_special(rules, other) and not mask_of(users) & ~asked:
                asked |= 1 << other
                grown = True
    return sum(rules.durations[other] for other in members(asked & ~(1 << op)))
