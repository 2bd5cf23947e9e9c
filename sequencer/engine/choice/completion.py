"""What a partial choice still has to pay: a lower bound on the handling that its open clauses call for."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from sequencer.engine.base.bits import members
from sequencer.engine.choice.selection import Partial


def open_handling(partial: Partial, net: Sequence[int]) -> int:
    """A bound on the handling that meeting every open clause adds to ``partial``.

    A clause is met by one of its members with all that must come before it. What several clauses could use
    in common is shared out evenly between them, so that no operation is counted twice; each clause then pays
    for its cheapest member.

    Args:
        partial: The choice so far.
        net: What doing each operation adds to the handling at the least (``Rules.net``).
    """
    undecided = partial.undecided
    clauses = _smallest({clause & partial.allowed for _, clause in partial.open_clauses()})
    ways = [[(partial.before[op] | 1 << op) & undecided for op in members(clause)] for clause in clauses]
    users: dict[int, int] = {}
    for way in ways:
        together = 0
        for ops in way:
            together |= ops
        for op in members(together):
            users[op] = users.get(op, 0) + 1
    total = sum(
        min(sum((Fraction(max(0, net[op]), users[op]) for op in members(ops)), Fraction(0)) for ops in way)
        for way in ways
    )
    return -(-total.numerator // total.denominator) if total else 0


def _smallest(clauses: set[int]) -> list[int]:
    """The clauses that no other implies."""
    return sorted(c for c in clauses if not any(d != c and not d & ~c for d in clauses))
