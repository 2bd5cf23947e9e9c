"""Start and snug: nobody leaves a place while there is something to fasten, or to torque, there.

Both speak of the order of work, and of the way back alone; what they come to is turned into the order of
taking apart as the last thing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from sequencer.graph.operations import Kind
from sequencer.plan.practice.job import Job
from sequencer.plan.practice.rules import Rule, RuleName, Stay

MOST_WAYS = 8
"""Ways in which an operation can be ready that are told apart; beyond that only the one with nothing open."""


def start(job: Job, kept: Sequence[tuple[str, str]]) -> Iterator[Rule]:
    """At each joint of a part that is fitted or moved back; ``kept`` are the orders of the rules before."""
    if not job.back:
        return
    fits = {n for n, op in job.graph.operations.items() if op.kind is Kind.FIT}
    for part in job.parts():
        if not (job.has(job.remove(part.name)) or job.has(job.move_aside(part.name))):
            continue
        for joint in part.joints.values():
            fasten = job.undo(joint)
            if job.has(fasten):
                here = _at(job, fasten)
                mine = frozenset({job.remove(part.name)})
                stays = []
                for after, until in _ready(job, fasten, kept):
                    others = (here & fits) - (mine - after)  # one set for many
                    stays.append(Stay(after, until, here, frozenset(job.operations) - here))
                    stays.append(Stay(after, until, frozenset(job.operations), others))
                turned = tuple(stay.turned() for stay in stays if stay.entering)
                if turned:
                    yield Rule(RuleName.START, joint.path, fasten, stays=turned)


def snug(job: Job, kept: Sequence[tuple[str, str]]) -> Iterator[Rule]:
    """At each joint that gets a final torque; ``kept`` are the orders of the rules before."""
    if not job.back:
        return
    for joint in job.joints():
        torque = job.torque(joint)
        if job.has(torque):
            here = _at(job, torque)
            elsewhere = frozenset(job.operations) - here
            stays = (Stay(after, until, here, elsewhere) for after, until in _ready(job, torque, kept))
            if elsewhere:
                yield Rule(RuleName.SNUG, joint.path, torque, stays=tuple(s.turned() for s in stays))


def _at(job: Job, name: str) -> frozenset[str]:
    position = job.operation(name).position
    return frozenset(n for n, op in job.graph.operations.items() if op.position == position)


def _ready(
    job: Job, name: str, kept: Sequence[tuple[str, str]]
) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
    """When ``name`` can be done next, in the order of work: all of the first done, none of the second.

    What waits for it in the order of taking apart is what it waits for here. Where one of several will do
    there, it waits here only if all of the others are done already.
    """
    after = {other for mine, other in kept if mine == name}
    open_: list[tuple[str, frozenset[str]]] = []
    for other, clause in job.clauses_on(name):
        rest = frozenset(clause.any_of) - {name}
        if rest:
            open_.append((other, rest))
        else:
            after.add(other)
    ways = [
        [(other, ""), *(("", one) for one in sorted(rest))] for other, rest in open_ if other not in after
    ]
    count = 1
    for choice in ways:
        count *= len(choice)
    if count > MOST_WAYS:
        ways = [choice[:1] for choice in ways]
    for way in product(*ways):
        yield (
            frozenset(after | {other for other, _ in way if other}),
            frozenset({name, *(one for _, one in way if one)}),
        )
