"""Which rules are kept: each in the order of priority, unless no order keeps it beside those before it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import OperationGraph
from sequencer.plan.practice.carried import carried
from sequencer.plan.practice.closing import closing
from sequencer.plan.practice.crack import crack
from sequencer.plan.practice.face import face, settle
from sequencer.plan.practice.hold import hold
from sequencer.plan.practice.onward import Onward
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Dropped, Rule, RuleName, Why
from sequencer.plan.practice.sealed import sealed
from sequencer.plan.practice.seated import seated
from sequencer.plan.practice.serves import serves
from sequencer.plan.practice.staying import snug, start

Judge = Callable[[Sequence[Rule]], tuple[str, ...] | None]
"""An order of the job that keeps these rules all together; empty: there is none; None: not found out."""

Table = Callable[[PracticeJob, Sequence[Rule]], Iterable[Rule | Dropped]]

TABLE: tuple[Table, ...] = (
    lambda job, _: carried(job),
    lambda job, _: hold(job),
    lambda job, _: crack(job),
    lambda job, _: sealed(job),
    lambda job, _: seated(job),
    lambda job, _: settle(job),
    face,
    lambda job, _: closing(job),
    serves,
    start,
    snug,
)
"""The rules, in the page's order of priority: each says for a job where it holds, given the rules that are
kept before it."""


ONE_BY_ONE = frozenset({RuleName.SERVES})
"""Rules of which each says what it does beside those of its own name that are kept."""


@dataclass
class KeptRules:
    """What is kept of the rules in one job, and what is not; ``order`` is one that keeps them."""

    rules: list[Rule] = field(default_factory=list)
    dropped: list[Dropped] = field(default_factory=list)
    order: tuple[str, ...] = ()


def keep(job: PracticeJob, judge: Judge, left: Onward | None = None) -> KeptRules:
    """Keep what can be kept; mostly everything can, and then one search is enough.

    In the middle of a job the rules are made for the whole ``job``, and kept in what is ``left`` of it: the
    judge is asked about that.
    """
    kept = every_rule(job, left)
    if order := judge(kept.rules):
        return replace(kept, order=order)
    kept = KeptRules()
    graph = job.graph if left is None else left.job.graph
    for table in TABLE:
        rules, dropped = _of(table, job, kept, left)
        kept.dropped += dropped
        if left is not None or ONE_BY_ONE.isdisjoint(rule.name for rule in rules):
            _add(graph, judge, kept, rules)
            continue
        for rule in table(job, kept.rules):
            _add(graph, judge, kept, [rule] if isinstance(rule, Rule) else [])
    return kept


def every_rule(job: PracticeJob, left: Onward | None = None) -> KeptRules:
    """All rules of the job, or what they come to for what is left of it, be they kept or not."""
    kept = KeptRules()
    for table in TABLE:
        rules, dropped = _of(table, job, kept, left)
        kept.rules += rules
        kept.dropped += dropped
    return kept


def _of(
    table: Table, job: PracticeJob, kept: KeptRules, left: Onward | None
) -> tuple[list[Rule], list[Dropped]]:
    found: list[Rule | Dropped] = []
    before = list(kept.rules)
    for rule in table(job, before):
        found.append(rule)
        before += [rule] if isinstance(rule, Rule) and rule.name in ONE_BY_ONE else []
    here = (
        found if left is None else [one for rule in found if (one := left.of(rule, kept.rules)) is not None]
    )
    rules = [rule for rule in here if isinstance(rule, Rule)]
    return (
        rules if left is None else left.together(rules),
        [rule for rule in here if isinstance(rule, Dropped)],
    )


def _add(graph: OperationGraph, judge: Judge, kept: KeptRules, rules: Sequence[Rule]) -> None:
    """Add each rule that can be kept beside what is kept: as if one by one, and quicker where most can."""
    if not rules:
        return
    answer = _judged(graph, judge, (*kept.rules, *rules))
    if answer:
        kept.order = answer
        kept.rules += rules
    elif len(rules) > 1:
        _add(graph, judge, kept, rules[: len(rules) // 2])
        _add(graph, judge, kept, rules[len(rules) // 2 :])
    else:
        rule = rules[0]
        why = Why.UNKNOWN if answer is None else _why(graph, judge, kept, rule)
        kept.dropped.append(Dropped(rule.name, rule.subject, rule.at, why))


def _why(graph: OperationGraph, judge: Judge, kept: KeptRules, rule: Rule) -> Why:
    alone = not kept.rules or _judged(graph, judge, (rule,)) == ()
    return Why.MACHINE if alone else Why.EARLIER


def _judged(graph: OperationGraph, judge: Judge, rules: Sequence[Rule]) -> tuple[str, ...] | None:
    """What the search says; a circle among the orders alone is seen without it."""
    return judge(rules) if orders_work(graph, rules) else ()


def orders_work(graph: OperationGraph, rules: Iterable[Rule]) -> bool:
    """Whether the orders of the rules can be kept, leaving aside what they say of gaps."""
    needs = rules_as_clauses(graph)
    after: dict[str, set[str]] = {}
    for before, later in (pair for rule in rules for pair in rule.orders):
        after.setdefault(later, set()).add(before)
    done: set[str] = set()
    waiting = set(graph.operations)
    while True:
        free = {
            name
            for name in waiting
            if after.get(name, set()) <= done
            and all(not done.isdisjoint(c.any_of) for c in (*graph.needs[name], *needs.get(name, ())))
        }
        if not free:
            return not waiting
        done |= free
        waiting -= free
