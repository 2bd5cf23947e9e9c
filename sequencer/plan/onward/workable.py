"""Whether what is left of a plan can be done as it is: each step in its turn, and all that is called for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from sequencer.graph import Target, goals
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.graph.reach import possible
from sequencer.graph.reverse import WayBack
from sequencer.plan.onward.present import Present, cracks_first, due_as_well, met, remaining
from sequencer.plan.onward.present_back import still_possible


def workable(
    graph: OperationGraph, targets: Sequence[Target], present: Present, order: Sequence[str]
) -> bool:
    """Whether ``order`` is a way in from the present state to every target that can be reached.

    ``why_not`` says nothing then against any of its steps in turn.
    """
    done = met(graph, present)
    later = defaultdict(list)
    for rule in graph.orders:
        later[rule.before].append(rule.after)
    for place, name in enumerate(order):
        if name in done or name not in graph.operations:
            return False
        cracked = [rule.crack for rule in graph.cracks if name in rule.undoing and rule.crack not in done]
        late = any(after in done for one in (name, *cracked) for after in later[one])
        if late or any(done.isdisjoint(clause.any_of) for clause in graph.needs[name]):
            return False
        if any(cracks_first(graph, done, name, order[place:])):
            return False
        done.add(name)
        done |= {slack.slacken for slack in graph.slackenings if slack.undo == name}
    rest = remaining(graph, present)
    able = possible(rest.needs)
    wanted = (
        *goals(graph, targets),
        *due_as_well(rest, graph, replace(present, done=(*present.done, *order))),
    )
    return not any(done.isdisjoint(goal.any_of) and not able.isdisjoint(goal.any_of) for goal in wanted)


def workable_back(back: WayBack, present: Present, order: Sequence[str]) -> bool:
    """Whether ``order`` is a way back from the present state, with all that is called for and possible."""
    gone = present.settled
    rest = back.graph.restricted(name for name in back.graph.operations if name not in gone)
    if any(name not in rest.operations for name in order):
        return False
    rules = rules_as_clauses(rest.restricted(order))
    seen: set[str] = set()
    for name in reversed(order):
        clauses = (*rest.needs[name], *rules.get(name, ()))
        if name in seen or any(seen.isdisjoint(clause.any_of) for clause in clauses):
            return False
        seen.add(name)
    return not (called_for(back) & still_possible(back, rest)) - seen


def called_for(back: WayBack) -> set[str]:
    """The steps that a way back must contain, whether or not they are done."""
    return {name for goal in back.goals for name in goal.any_of}
