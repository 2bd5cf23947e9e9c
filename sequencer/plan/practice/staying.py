"""Start and snug: nobody leaves a place while there is something to fasten, or to torque, there.

Going where another rule sends one next is not leaving. But what sends one away is not begun there while
something is still to be done: the set of a face that goes on at another place is begun after that, and so is
the sling of a part that is then fitted.

A helper is no reason to wait: a joint can be torqued whose helper could simply be set up.

Both speak of the order of work, and of the way back alone; what they come to is turned into the order of
taking apart as the last thing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from sequencer.graph.operations import Kind
from sequencer.graph.serving import tightening
from sequencer.plan.practice.face import sets_of
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import PracticeStay, Rule, RuleName, orders_of

MOST_WAYS = 8
"""Ways in which an operation can be ready that are told apart; beyond that only the one with nothing open."""


def start(job: PracticeJob, before: Sequence[Rule]) -> Iterator[Rule]:
    """At each joint of a part that is fitted or moved back; ``before`` are the rules that are kept first."""
    if not job.back:
        return
    ready = _Ready(job, before)
    for part in job.parts():
        if not (job.has(job.remove(part.name)) or job.has(job.move_aside(part.name))):
            continue
        for joint in part.joints.values():
            fasten = job.undo(joint)
            own = frozenset({job.remove(part.name)})
            if job.has(fasten) and (stays := tuple(ready.stays(fasten, ready.fits, own))):
                yield Rule(RuleName.START, joint.path, fasten, stays=stays)


def snug(job: PracticeJob, before: Sequence[Rule]) -> Iterator[Rule]:
    """At each joint that gets a final torque; ``before`` are the rules that are kept first."""
    if not job.back:
        return
    ready = _Ready(job, before)
    for joint in job.joints():
        torque = job.torque(joint)
        if job.has(torque) and (stays := tuple(ready.stays(torque))):
            yield Rule(RuleName.SNUG, joint.path, torque, stays=stays)


@dataclass(frozen=True)
class _Ready:
    """When an operation can be done next, in the order of work, and what not to go to then."""

    job: PracticeJob
    before: Sequence[Rule]

    @cached_property
    def _orders(self) -> Sequence[tuple[str, str]]:
        return orders_of(self.before)

    @cached_property
    def fits(self) -> frozenset[str]:
        """All fitting."""
        return frozenset(n for n, op in self.job.graph.operations.items() if op.kind is Kind.FIT)

    @cached_property
    def _sets(self) -> Sequence[frozenset[str]]:
        return sets_of(self.before)

    @cached_property
    def _served(self) -> dict[str, frozenset[str]]:
        """The setting up of each helper that serves a joint of the job, and what it is set up for."""
        job = self.job
        found = {}
        for task in job.machine.tasks.values():
            done = (tightening(path, job.operations) for path in task.steadied)
            if names := frozenset(name for name in done if name):
                found[Kind.TASK.of(task.name)] = names
        return {on: names for on, names in found.items() if job.has(on)}

    def _at(self, name: str) -> frozenset[str]:
        """What is done at the place of ``name``."""
        position = self.job.operation(name).position
        return frozenset(n for n, op in self.job.graph.operations.items() if op.position == position)

    @cached_property
    def _slung(self) -> dict[str, frozenset[str]]:
        """The setting up of what carries a weight, and what is fitted directly after: no stand does that."""
        slings = (task for task in self.job.machine.tasks.values() if task.load and not task.rated)
        found = {Kind.TASK.of(task.name): frozenset(map(self.job.remove, task.load)) for task in slings}
        return {on: frozenset(filter(self.job.has, fits)) for on, fits in found.items() if self.job.has(on)}

    def _leading_to(self, fits: frozenset[str], own: frozenset[str]) -> frozenset[str]:
        """What sends one on to fit one of ``fits``, and not the part's ``own``."""
        return frozenset(on for on, slung in self._slung.items() if slung & fits and not slung & own)

    def stays(
        self, name: str, others: frozenset[str] = frozenset(), own: frozenset[str] = frozenset()
    ) -> Iterator[PracticeStay]:
        """While ``name`` can be done, nobody leaves its place, or begins there what leads away from it.

        Nor are ``others`` done there that are not its ``own``. Who goes to set a helper of it up does not
        leave. It is told in the order of taking apart.
        """
        here, every, group = self._at(name), frozenset(self.job.operations), self._together(name)
        elsewhere = every - here - (group - {name})
        leading = [found for found in self._sets if not found <= here]
        begun = frozenset().union(*leading) if all(map(group.isdisjoint, leading)) else frozenset()
        begun |= self._leading_to((others & here) | (self.fits - here), own)
        for after, until in self._ways(name):
            not_here = here & ((others - (own - after)) | begun)  # one set for many
            if elsewhere:
                yield PracticeStay(after, until, here, elsewhere).turned()
            if not_here:
                yield PracticeStay(after, until, every, not_here).turned()

    def _together(self, name: str) -> frozenset[str]:
        """An operation with its helpers, all that they are set up for, and the rest of its set."""
        found, fresh = {name}, [name]
        while fresh:
            one = fresh.pop()
            more = set(self._served.get(one, ()))
            more |= {on for on, names in self._served.items() if one in names}
            more = more.union(*(names for names in self._sets if one in names)) - found
            found |= more
            fresh += sorted(more)
        return frozenset(found)

    def _ways(self, name: str) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
        """When ``name`` can be done next: all of the first done, none of the second.

        What waits for it in the order of taking apart is what it waits for here. Where one of several will do
        there, it waits here only if all of the others are done already. A helper of it may still be set up,
        where all that it is set up for can be done then.
        """
        group = self._together(name)
        after = {other for mine, other in self._orders if mine in group}
        open_: list[tuple[str, frozenset[str]]] = []
        for one in sorted(group):
            for other, clause in self.job.clauses_on(one):
                rest = frozenset(clause.any_of) - group
                if rest:
                    open_.append((other, rest))
                else:
                    after.add(other)
        after -= group
        ways = [
            [(other, ""), *(("", one) for one in sorted(rest))]
            for other, rest in open_
            if other not in after and other not in group
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
