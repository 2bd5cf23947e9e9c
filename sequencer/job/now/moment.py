"""A job at one moment: its state, its machine, and so what is left to do and what can be done now."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from sequencer.graph import derive
from sequencer.graph.operations import Kind, Operation, OperationGraph, Reason, bench_lists
from sequencer.graph.serving import begun_with_putting_away
from sequencer.graph.targets import Target, goals, parse_targets
from sequencer.job.journal.card import Card
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.state import JobState
from sequencer.job.now.bags import Bag, needs_bag, numbered
from sequencer.job.now.given import BAGS, MARKS, held, orders, undone_joints
from sequencer.job.now.label_pairs import Label, labels
from sequencer.job.now.practised import LastAsked, in_practice, read_not_kept
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.model import HAND, Machine
from sequencer.plan.hours.hours import Hours
from sequencer.plan.onward.present import Direction, Present, met, remaining, why_not
from sequencer.plan.onward.present_back import setup_of, why_not_back
from sequencer.plan.onward.turned import Homeward, as_planned, renumbered
from sequencer.plan.onward.workable import called_for, workable, workable_back
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.order.setups import Setup
from sequencer.plan.plan import GoodPractice, Plan, Station, Step
from sequencer.plan.practice.rules import Dropped, Practice


@dataclass(frozen=True)
class Sight:
    """A machine as its file says it now, with all that it allows; ``word``: why it is not from the file."""

    machine: Machine
    digest: str
    word: str = ""

    @cached_property
    def whole(self) -> OperationGraph:
        """Every operation that the machine allows."""
        return derive(self.machine)

    @cached_property
    def asked(self) -> LastAsked:
        """What was found out about its jobs in asking for good practice."""
        return LastAsked()


@dataclass(frozen=True)
class Moment:
    """A job at one moment."""

    card: Card
    sight: Sight
    state: JobState

    @property
    def machine(self) -> Machine:
        """The machine of this job."""
        return self.sight.machine

    @cached_property
    def whole(self) -> OperationGraph:
        """Every operation that the machine allows, and the putting away of what serves joints of the job."""
        whole = self.sight.whole
        if self.practice is Practice.NONE or not any(task.steadied for task in self.machine.tasks.values()):
            return whole
        done = (*self.state.done, *self.state.skipped)
        return begun_with_putting_away(whole, done, (op for _, op in self.state.left))[0]

    @cached_property
    def targets(self) -> tuple[Target, ...]:
        """What the job is for, targets that came later included."""
        later = [one.event.body for one in self.state.of(EventKind.TARGET)]
        off = [*self.card.off, *(text for body in later for text in body.get("off", ()))]
        reach = [*self.card.reach, *(text for body in later for text in body.get("reach", ()))]
        return parse_targets(self.machine, off, reach)

    @property
    def jobs(self) -> tuple[TypicalJob, ...]:
        """The jobs of the machine file that it is, as far as the file still has them."""
        known = self.machine.jobs
        return tuple(known[name] for name in self.card.jobs if name in known)

    @cached_property
    def present(self) -> Present:
        """What is really so: done, skipped, tool in hand, place."""
        here = self._last_setup()
        turns = self.state.of(EventKind.TURNED)
        return Present(
            done=self.state.done,
            skipped={op: tick.why or "" for op, tick in self.state.skipped.items()},
            back=self.state.back,
            owed=tuple(turns[-1].event.body.get("owed", ())) if turns else (),
            tool=here.tool if here else HAND,
            position=here.position if here else None,
            direction=Direction.TOGETHER if self.state.turned else Direction.APART,
        )

    @cached_property
    def operations(self) -> dict[str, Operation]:
        """Everything that has a name in this job, by it: the way in, and after a turn the way back, too."""
        known = dict(self.whole.operations)
        if self.present.direction is Direction.TOGETHER:
            known |= self.home.back.graph.operations
        return known

    def _last_setup(self) -> Setup | None:
        """Where the last tick leaves the person, and with what in hand."""
        for tick in reversed(self.state.ticked):
            if tick.back:
                here = setup_of(self.machine, tick.op)
            elif tick.op in self.whole.operations:
                last = self.whole.operations[tick.op]
                here = Setup(last.position, last.tool)
            else:
                continue
            if here is not None:
                return here
        return None

    @cached_property
    def home(self) -> Homeward:
        """What is left of the way back, under the numbers that the person knows."""
        left = [op for _, op in self.state.left]
        home = as_planned(self.machine, self.targets, self.present, left, Prefer(self.card.prefer))
        refit = replace(
            renumbered(home.refit, self.state.numbers, self.state.before_turning), practice=self._signed
        )
        return replace(home, refit=refit)

    @cached_property
    def plan(self) -> Plan:
        """What is left to do, under the numbers that the person knows."""
        if self.present.direction is Direction.TOGETHER:
            return self.home.refit
        rest = remaining(self.whole, self.present)
        left = [op for _, op in self.state.left]
        order = [op for op in left if op in rest.operations]
        changes = self.present.changes(self.machine)
        # What is left of a proven order is as good as anything for the person, but it is proven no longer.
        plan = teardown_of(rest, self.targets, order, changes, Prefer(self.card.prefer))
        skipped = tuple(self.present.skipped)
        earlier = (*self.present.done, *skipped)
        steps = self._numbered(plan.steps)
        return replace(plan, steps=steps, earlier=earlier, skipped=skipped, practice=self._signed)

    @cached_property
    def workable(self) -> bool:
        """Whether the plan can be done as it stands, each step in its turn, to all that can be reached."""
        left = [op for _, op in self.state.left]
        if self.present.direction is Direction.TOGETHER:
            return workable_back(self.home.back, self.present, left)
        return workable(self.whole, self.targets, self.present, left)

    @property
    def practice(self) -> Practice:
        """Whether the plans of this job keep the rules of good practice."""
        return Practice.ALL if self.card.practice == Practice.ALL.value else Practice.NONE

    @cached_property
    def _signed(self) -> GoodPractice | None:
        """What is left is known not to keep of good practice; None where it is asked for none."""
        if self.practice is Practice.NONE:
            return None
        left = {op for _, op in self.state.left}
        return GoodPractice(None, None, tuple(one for one in self._not_kept if one.at in left))

    @property
    def _not_kept(self) -> tuple[Dropped, ...]:
        """What the present plan was known not to keep when it was made."""
        return read_not_kept(self.state.plans[-1].event.body) if self.state.plans else ()

    @cached_property
    def as_practised(self) -> bool:
        """Whether what is left keeps all of good practice that can be kept, as far as is known."""
        if self.practice is Practice.NONE:
            return True
        left, known = [op for _, op in self.state.left], self._not_kept
        if self.present.direction is Direction.APART:
            gone, rest = met(self.whole, self.present), remaining(self.whole, self.present)
            left = [op for op in left if op in rest.operations]
            return in_practice(self.whole, rest, gone, left, known, self.sight.asked, back=False)
        whole = self.home.back.graph
        bare = whole.restricted(n for n, op in whole.operations.items() if op.kind is not Kind.SEAL)
        gone = set(self.present.settled)
        left = [op for op in reversed(left) if op in bare.operations]
        place = self.present.changes(self.machine).place
        return in_practice(bare, bare, gone, left, known, self.sight.asked, back=True, place=place)

    def still_as_practised(self, before: Moment) -> bool:
        """The same after an act; ``before`` is the moment before it. Surely so if it did the next steps."""
        was, left = before.state.left, self.state.left
        by_this_file = self.state.plans[-1].event.body.get("file") == self.sight.digest
        return (by_this_file and was[len(was) - len(left) :] == left) or self.as_practised

    @cached_property
    def left_out(self) -> tuple[str, ...]:
        """Steps that the way back calls for and can't reach any more: they are open, and in no plan."""
        if self.present.direction is not Direction.TOGETHER:
            return ()
        settled = {*self.present.settled, *(op for _, op in self.state.left)}
        called = called_for(self.home.back)
        return tuple(op for op in self.home.back.graph.operations if op in called and op not in settled)

    @cached_property
    def unreached(self) -> tuple[str, ...]:
        """The targets that have not been reached."""
        return self._short_of(met(self.whole, self.present))

    @cached_property
    def stuck(self) -> tuple[str, ...]:
        """The targets that the plan does not reach either: what was done has put them out of reach."""
        if self.present.direction is Direction.TOGETHER:
            return ()
        return self._short_of(met(self.whole, self.present) | {op for _, op in self.state.left})

    def _short_of(self, done: set[str]) -> tuple[str, ...]:
        return tuple(
            str(target)
            for target in self.targets
            if any(done.isdisjoint(goal.any_of) for goal in goals(self.whole, [target]))
        )

    @property
    def station(self) -> Station | None:
        """The run of steps at one place with one tool that comes next; None when all is done."""
        return next(iter(self.plan.stations), None)

    def bench_lists(self, first: Sequence[str] = ()) -> dict[str, tuple[str, ...]]:
        """The bench lists by the steps that they stand at, where ``first`` are the next steps."""
        left = (op for _, op in self.state.left)
        order = (*self.state.back, *first, *left, *self.state.skipped)
        return bench_lists(self.machine, dict.fromkeys(order))

    @cached_property
    def bags(self) -> dict[str, Bag]:
        """The bag of each joint, by its path: numbered by the first plan that had it, and kept since.

        What is undone lies in the bag that it was put into, whatever the file says by now.
        """
        kept = held(self.state, self.machine, BAGS)
        lying = {path: Bag(kept[path], path) for path in self._undone if kept.get(path)}
        return {**self.bags_asked, **lying}

    @cached_property
    def bags_asked(self) -> dict[str, Bag]:
        """The bags of the joints that need one as the file is now."""
        numbers: dict[str, int] = held(self.state, self.machine, BAGS)
        for order in orders(self.state):
            numbers |= {path: bag.number for path, bag in numbered(self.machine, order, numbers).items()}
        return {
            path: Bag(number, path)
            for path, number in numbers.items()
            if number and (joint := self.machine.own_joint(path)) is not None and needs_bag(joint)
        }

    @cached_property
    def judged(self) -> dict[str, Hours]:
        """What is left, judged once for each person who asks (``status.hours_left``)."""
        return {}

    @cached_property
    def notes(self) -> dict[str, list[str]]:
        """What was noted at each operation, the oldest first; under no name what is about the whole job."""
        found: dict[str, list[str]] = {}
        for one in self.state.of(EventKind.NOTE):
            found.setdefault(str(one.event.body.get("op", "")), []).append(str(one.event.body["text"]))
        return found

    @cached_property
    def labels(self) -> dict[str, Label]:
        """The pairs of labels of joints that could be confused, by joint path; marks are kept like bags."""
        kept, asked = held(self.state, self.machine, MARKS), self.labels_asked
        stuck = {path: asked.get(path) or Label(kept[path], path) for path in self._undone if kept.get(path)}
        return {**asked, **stuck}

    @cached_property
    def labels_asked(self) -> dict[str, Label]:
        """The labels of the joints that could be confused as the file is now."""
        marks: dict[str, str] = held(self.state, self.machine, MARKS)
        found: dict[str, Label] = {}
        for order in orders(self.state):
            found |= labels(self.machine, order, marks)
            marks |= {path: label.mark for path, label in found.items()}
        return found

    @property
    def _undone(self) -> Iterator[str]:
        return undone_joints(self.state.done)

    def why_not(self, op: str, present: Present) -> tuple[Reason, ...]:
        """Why ``op`` can't be done once ``present`` is so; empty when it can."""
        if present.direction is Direction.TOGETHER:
            return why_not_back(self.home.back, present, op)
        if op not in self.whole.operations:  # it was done, and has gone from the file since
            return ()
        return why_not(self.whole, present, op, [name for _, name in self.state.left])

    def waits_for(self, op: str, present: Present) -> tuple[str, ...]:
        """The steps of the plan that ``op`` still waits for, in their order."""
        done = met(self.whole, present)
        unmet = [clause.any_of for clause in self.whole.needs[op] if done.isdisjoint(clause.any_of)]
        before = {rule.before for rule in self.whole.orders if rule.after == op and rule.before not in done}
        wanted = before.union(*unmet)
        return tuple(name for _, name in self.state.left if name in wanted)

    def _numbered(self, steps: Sequence[Step]) -> tuple[Step, ...]:
        numbers = self.state.numbers
        return tuple(replace(step, number=numbers[step.operation.name]) for step in steps)
