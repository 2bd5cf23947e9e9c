"""Solving a stretch of the timetable anew while the rest keeps its routes.

Large-neighbourhood search (Shaw 1998): the operations of a window may go to anyone in any sequence; the
others stay with their people in their sequence, those before the window at their times. What comes after may
change hands as a whole: a person's rest of the day is one chain, and any person can go on with it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from sequencer.engine.crew.cp_model import Arc, ModelScope, items_of
from sequencer.engine.crew.crew_problem import CrewProblem, Timetable


def windows(timetable: Timetable, size: int) -> Iterator[frozenset[int]]:
    """Stretches of ``size`` consecutive operations, each overlapping the one before by half."""
    ops = [turn.op for turn in timetable.turns]
    step = max(1, size // 2)
    for first in range(0, max(1, len(ops) - step), step):
        yield frozenset(ops[first : first + size])


def scope_of(problem: CrewProblem, timetable: Timetable, window: Collection[int]) -> ModelScope:
    """What stays open when only the operations of ``window`` may move."""
    number = {item: n for n, item in enumerate(items_of(problem), start=1)}
    inside = set(window)
    kept: set[Arc] = set()
    heads, tails = [0], [0]  # where a chain can be entered, where one can be left; the depot is both
    first_of_chain: list[int] = []
    for person in range(problem.people):
        before = 0
        for turn, role in timetable.route(person):
            node = number[turn.op, role]
            if turn.op in inside:
                heads.append(node)
                tails += [before, node] if before else [node]
                before = 0
            else:
                if before:
                    kept.add((before, node))
                else:
                    heads.append(node)
                    first_of_chain.append(turn.op)
                before = node
        if before:
            tails.append(before)
    opening = min(turn.start for turn in timetable.turns if turn.op in inside)
    fixed = {
        turn.op: turn.start for turn in timetable.turns if turn.op not in inside and turn.start < opening
    }
    item = items_of(problem)
    open_arcs = {
        (a, b)
        for a in tails
        for b in heads
        if (a or b) and a != b and not (a and b and item[a - 1][0] == item[b - 1][0])
    }
    late = tuple(dict.fromkeys(op for op in first_of_chain if op not in fixed))
    return ModelScope(sorted(kept | open_arcs), fixed, late)
