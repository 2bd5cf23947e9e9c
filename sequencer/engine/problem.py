"""What the engine is asked and what it answers: numbers in, an order and a bound out.

The engine knows operations as the numbers 0 … n−1 and set-ups as the numbers 0 … m−1; it has no word of
machines. Costs are non-negative integers in whatever unit the caller likes, so that "proven" means equal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

Clause = tuple[int, ...]
"""Operations of which any one will do. An empty clause can't be met."""


@dataclass(frozen=True)
class Trigger:
    """When any of ``left``, any of ``right`` and any of each of ``also`` are chosen, ``then`` must be too."""

    left: tuple[int, ...]
    right: tuple[int, ...]
    then: int
    also: tuple[Clause, ...] = ()


@dataclass(frozen=True)
class Saving:
    """When ``first`` and ``second`` are both chosen, the total is less by ``amount``.

    ``amount`` is at most the duration of ``second``: adding ``first`` never makes a job cheaper by itself
    than its own duration allows (``amount`` ≤ duration of ``first``).
    """

    first: int
    second: int
    amount: int


@dataclass(frozen=True)
class While:
    """While a rule like this is active, nothing but ``only`` comes next.

    It is active in the gap before a step when all of ``after`` are done by then and none of ``until`` is; the
    step is then one of ``only`` or of ``until``. So all between the last of ``after`` and the first of
    ``until`` is of ``only``, and read backwards the rule is ``While(until, after, only)``. What is done
    already counts as done. An empty ``after`` is active from the beginning, an empty ``until`` to the end:
    ``While(after, (), everything but x)`` says that ``x`` never comes after all of ``after``. Where it
    ``lifts``, no ``Stay`` binds as long as it is active.
    """

    after: tuple[int, ...]
    until: tuple[int, ...]
    only: frozenset[int]
    lifts: bool = True


@dataclass(frozen=True)
class Stay:
    """While a rule like this is active, no step of ``leaving`` is followed by one of ``entering``.

    Both are sets of set-ups. It is active in a gap like a ``While``, but does not bind where a ``While`` that
    lifts it is active, nor before the first step. Read backwards it is
    ``Stay(until, after, entering, leaving)``.
    """

    after: tuple[int, ...]
    until: tuple[int, ...]
    leaving: frozenset[int]
    entering: frozenset[int]


@dataclass(frozen=True)
class Problem:
    """A choice of operations and their order, to be made at the least cost.

    The cost of an order is the sum of the durations of its operations, less the savings, plus
    ``starts[setup of the first]`` plus ``changes[setup of a][setup of b]`` for each consecutive a, b.

    Attributes:
        durations: Cost of each operation itself, n of them.
        setups: Set-up of each operation, n of them.
        changes: m × m; the cost of going from one set-up to another; the diagonal is 0. The fast methods need
            the triangle inequality; without it the answer must still be right.
        starts: m; the cost of making each set-up the first.
        needs: For each operation a conjunction of clauses: each must hold an operation that is done earlier.
        goals: A conjunction of clauses: each must hold an operation that is done at the end.
        orders: Pairs (a, b): where both are chosen, a comes before b.
        triggers: Operations that the choice of two others calls for.
        savings: Pairs that are cheaper together.
        done: Operations already done: they meet needs, cost nothing, and are not in the order. They count as
            chosen for ``triggers`` and ``savings`` only if the caller has left those in; a saving between two
            of them is no matter of this job.
        whiles: Rules on what comes next while they are active. A problem that has any of these or of
            ``stays`` asks for the order of a fixed set: every operation is done or a goal of its own.
        stays: Rules on going from one set-up to another while they are active.
    """

    durations: tuple[int, ...]
    setups: tuple[int, ...]
    changes: tuple[tuple[int, ...], ...]
    starts: tuple[int, ...]
    needs: tuple[tuple[Clause, ...], ...]
    goals: tuple[Clause, ...]
    orders: tuple[tuple[int, int], ...] = ()
    triggers: tuple[Trigger, ...] = ()
    savings: tuple[Saving, ...] = ()
    done: frozenset[int] = frozenset()
    whiles: tuple[While, ...] = ()
    stays: tuple[Stay, ...] = ()


class Status(Enum):
    """How much an answer is worth."""

    PROVEN = "proven"
    """No choice and no order costs less."""
    BEST_KNOWN = "best known"
    """A limit came first; ``bound`` says how much less could still be possible."""
    IMPOSSIBLE = "impossible"
    """No choice of operations meets the goals: all were ruled out."""
    UNKNOWN = "not found yet"
    """A limit came before any order was found, and before it was clear that there is none."""


@dataclass(frozen=True)
class Counters:
    """How much work an answer took, in units that don't depend on the machine it ran on."""

    states: int = 0
    choices: int = 0


@dataclass(frozen=True)
class Result:
    """An answer: ``order`` holds the chosen operations in sequence; ``bound`` ≤ the optimum ≤ ``cost``.

    Where no order is known, ``order`` is empty and ``cost`` is 0; ``bound`` holds even so.
    """

    status: Status
    order: tuple[int, ...]
    cost: int
    bound: int
    counters: Counters = Counters()

    @property
    def proven(self) -> bool:
        """True when no choice and no order costs less."""
        return self.status is Status.PROVEN


Progress = Callable[[int, int], None]
"""Called with (best cost so far, bound so far) whenever either improves."""


@dataclass(frozen=True)
class Limits:
    """When to stop before the proof is complete.

    Attributes:
        states: Search states to expand, over the whole question; the answer is repeatable for a given value.
            None: no limit.
        seconds: Wall-clock limit; answers under it may differ from run to run. None: no limit.
        gap: Stop once (cost − bound) / cost is at most this; 0 asks for the proof.
        memory_states: States kept at once, the memory cap (about 300 bytes each).
    """

    states: int | None = None
    seconds: float | None = None
    gap: float = 0.0
    memory_states: int = 4_000_000
