"""Cautions where they belong: those of the machine file, and the usual ones of the trade beside them."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import inf

from sequencer.graph.fastening import tools_in
from sequencer.graph.operations import Kind, Operation
from sequencer.machine.called import part_label
from sequencer.machine.model import WayTexts
from sequencer.plan.hazards.coming_free import coming_free
from sequencer.plan.hazards.hazards import (
    Hazard,
    Met,
    cold_words,
    hazards,
    heats,
    met_at,
    met_by,
    table,
    thing_of,
)
from sequencer.plan.hazards.lifting import Lift, lift_words, lifts
from sequencer.plan.hazards.phrases import says_each, words_of
from sequencer.plan.plan import Plan, Refit, Step
from sequencer.quantities import parse_seconds
from sequencer.wording import listing


@dataclass(frozen=True)
class Caution:
    """A caution at a step.

    Attributes:
        source: ``file``, or who says so: a rule of law, or ``common practice``.
        whole: What was said where it stood in full, if ``text`` only reminds of that.
    """

    text: str
    source: str
    whole: str = ""


def notice() -> str:
    """The notice at the head of every plan."""
    return str(table()["notice"])


def cautions(
    plan: Plan, steps: Sequence[Step] | None = None, sittings: Container[int] = ()
) -> dict[int, tuple[Caution, ...]]:
    """The cautions at each step, by its number; one text is shown once for each part that it is about.

    Args:
        plan: The plan.
        steps: Those of its steps that one person does; left out, all.
        sittings: Numbers of the steps with which somebody comes back another day: all is said anew.
    """
    found: dict[int, tuple[Caution, ...]] = {}
    at, told, heat = _At(plan), _Told(), _Heat(plan)
    own = plan.steps if steps is None else steps
    for place, step in enumerate(own):
        begins = place == 0 and not plan.earlier
        if step.number in sittings:
            begins, told = True, _Told()
        ahead = at.ahead(own[place:], told) if begins else ()
        said = (*ahead, *at.told(step, told, cold=heat.gone))
        fresh = [one for about, one in said if told.anew(about, one.text)]
        if fresh:
            found[step.number] = tuple(fresh)
        heat.after(step, at.own(step), at.order(step.operation))
    return found


def hazards_met(plan: Plan) -> tuple[Hazard, ...]:
    """The hazards of the places and operations of a plan, in the table's order, whoever warns of them."""
    lifted = lifts(plan)
    met: set[Hazard] = set()
    for place in {step.operation.position for step in plan.steps}:
        position = plan.machine.positions[place]
        met.update(met_at(position.name, position.label))
    for step in plan.steps:
        met.update(met_by(Met.at(plan.machine, step.operation, lifted.get(step.number))))
    return tuple(hazard for hazard in hazards() if hazard in met)


@dataclass
class _Told:
    """What has been told in this sitting."""

    texts: set[tuple[str, str]] = field(default_factory=set)
    usual: dict[str, str] = field(default_factory=dict)
    """For each hazard, the thing of which it was told in full."""
    own: dict[str, set[str]] = field(default_factory=dict)
    """For each thing, the file's texts."""

    def anew(self, about: str, text: str) -> bool:
        known = (about, text) in self.texts
        self.texts.add((about, text))
        return not known


class _Heat:
    """Whether what was hot is cold by now."""

    def __init__(self, plan: Plan) -> None:
        self.gone = plan.back
        self.elapsed = Fraction(0)

    def after(self, step: Step, own: Sequence[str], order: str) -> None:
        """Hot from a task that runs the engine on; cold by time, or by what the file warned of."""
        self.elapsed += step.seconds + step.change_seconds
        cool = cold_words(drained=step.operation.kind is Kind.DRAIN)
        if heats(order):
            self.gone, self.elapsed = False, Fraction(0)
        elif any(says_each(text, cool) for text in own):
            self.gone = True
        self.gone = self.gone or self.elapsed >= parse_seconds(table()["cold"]["after"])


class _At:
    """What bears on the steps of a plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.machine = plan, plan.machine
        self.lifts = lifts(plan)
        self.settled = tuple(_settled(plan))
        self.free = coming_free(plan)

    def told(self, step: Step, told: _Told, *, cold: bool) -> Iterator[tuple[str, Caution]]:
        """Every caution of a step, with what it is about; the file's come first."""
        operation = step.operation
        yield from self._place(operation)
        yield from self._tool(operation)
        thing = operation.part or operation.subject
        own = [text for text in self.own(step) if not self._waits_for_the_lift(step, text)]
        yield from ((thing, Caution(text, "file")) for text in own)
        known = told.own.setdefault(thing, set())
        known.update(own)
        lift = self.lifts.get(step.number)
        for hazard in self._usual(operation, lift, sorted(known), cold=cold):
            if text := self._text(step, lift, hazard):
                first = told.usual.setdefault(hazard.name, thing)
                full, again = hazard.on(back=self.plan.back)
                if again and text == full and first != thing:
                    yield thing, Caution(again, hazard.source, whole=text)
                else:
                    yield thing, Caution(text, hazard.source)
        yield from self._about_to_come_free(step, sorted(known))
        yield from self._still_off(step)

    def ahead(self, steps: Sequence[Step], told: _Told) -> Iterator[tuple[str, Caution]]:
        """What holds of the whole machine from the first touch on, whichever of the steps meets it.

        Where one begins it is said: the guard is off and the hands are in long before the belt is touched.
        """
        met: set[Hazard] = set()
        for step in steps:
            lift = self.lifts.get(step.number)
            for hazard in self._usual(step.operation, lift, self.own(step), cold=True):
                text = self._text(step, lift, hazard) if hazard.ahead and hazard not in met else ""
                if text:
                    met.add(hazard)
                    if step is not steps[0]:  # else it is said there anyway
                        told.usual[hazard.name] = self.plan.machine.name
                        yield self.plan.machine.name, Caution(text, hazard.source)

    def _still_off(self, step: Step) -> Iterator[tuple[str, Caution]]:
        """What is not back yet when a task of ``first`` is undone: the machine is live with that open."""
        operation = step.operation
        if operation.kind is not Kind.RESTORE or operation.subject not in self.machine.first:
            return
        to_come = [one.operation for one in self.plan.steps if one.number > step.number]
        if off := [part_label(self.machine.parts[one.subject]) for one in to_come if one.kind is Kind.FIT]:
            said = table()["still_off"]
            text = said["text"].format(parts=listing(off, said["names"]))
            yield operation.subject, Caution(text, "common practice")

    def _about_to_come_free(self, step: Step, own: Sequence[str]) -> Iterator[tuple[str, Caution]]:
        """The cautions of a lift, before the joint with which the part comes free."""
        part = step.operation.part
        if part is None or part not in self.free:
            return
        free = self.free[part]
        if step.number not in (free.first, free.last):
            return
        lift = self.lifts.get(free.lift.number)
        for hazard in self._usual(free.lift.operation, lift, own, cold=True):
            if step.number == {"first": free.first, "last": free.last}.get(hazard.free):
                yield part, Caution(self._text(free.lift, lift, hazard), hazard.source)

    def own(self, step: Step) -> tuple[str, ...]:
        """What the file warns of at a step, on this way."""
        return tuple(text for said in self._own(step.operation) for text in said.on(back=self.plan.back))

    def order(self, operation: Operation) -> str:
        """The words of a task, or of its undoing, which tell what to do; empty for all else."""
        if operation.kind is Kind.TASK:
            return self.machine.tasks[operation.subject].label or operation.subject
        undo = self.machine.tasks[operation.subject].undo if operation.kind is Kind.RESTORE else None
        return (undo.label or "") if undo else ""

    def _own(self, operation: Operation) -> Iterator[WayTexts]:
        part, joint = thing_of(self.machine, operation)
        if part is not None:
            yield part.cautions
            if joint is not None:
                yield joint.cautions
        elif operation.kind in (Kind.TASK, Kind.RESTORE):
            yield self.machine.tasks[operation.subject].cautions
        else:
            yield self.machine.fluids[operation.subject].cautions

    def _waits_for_the_lift(self, step: Step, text: str) -> bool:
        """Whether a text is about lifting the part, which is not yet coming free."""
        part = step.operation.part
        if part is None or part not in self.free or step.number >= self.free[part].last:
            return False
        at_once = not words_of(text).isdisjoint(table()["lift"]["at_once"])
        return not at_once and any(hazard.is_lift and hazard.said_in([text]) for hazard in hazards())

    def _place(self, operation: Operation) -> Iterator[tuple[str, Caution]]:
        position = self.machine.positions[operation.position]
        own = position.cautions.on(back=self.plan.back)
        yield from ((position.name, Caution(text, "file")) for text in own)
        for hazard in met_at(position.name, position.label):
            if not hazard.said_in(own):
                yield position.name, Caution(hazard.on(back=self.plan.back)[0], hazard.source)

    def _tool(self, operation: Operation) -> Iterator[tuple[str, Caution]]:
        """What the file warns of with the tool in hand, also with what is on a torque wrench."""
        for name in tools_in(operation.tool):
            if (tool := self.machine.tools.get(name)) is not None:
                own = tool.cautions.on(back=self.plan.back)
                yield from ((name, Caution(text, "file")) for text in own)

    def _usual(
        self, operation: Operation, lift: Lift | None, own: Sequence[str], *, cold: bool
    ) -> Iterator[Hazard]:
        """The hazards of an operation of which the file does not speak."""
        joint = thing_of(self.machine, operation)[1]
        label = tuple(self._said_by_the_task(operation))
        for hazard in met_by(Met.at(self.machine, operation, lift)):
            if (
                not (joint and joint.kind in hazard.not_kinds)
                and not (hazard.cools and cold)
                and not hazard.said_in((*own, *label) if hazard.settled else own)
            ):
                yield hazard

    def _said_by_the_task(self, operation: Operation) -> Iterator[str]:
        """The words of a task itself, which tell what to do: battery off first, the lock on."""
        if operation.kind in (Kind.TASK, Kind.RESTORE):
            yield from filter(None, (self.order(operation),))
            yield from self.machine.tasks[operation.subject].notes.on(back=self.plan.back)

    def _text(self, step: Step, lift: Lift | None, hazard: Hazard) -> str:
        if step.operation.kind is Kind.RESTORE and hazard.lowering:
            return hazard.lowering
        if hazard.settled_by(text for text, first, last in self.settled if first <= step.number <= last):
            return hazard.settled_text
        return hazard.on(back=self.plan.back)[0].format(weight=lift_words(self.machine, lift) if lift else "")


def _settled(plan: Plan) -> Iterator[tuple[str, float, float]]:
    """The words of each task that comes first of all, and the steps from its doing to its undoing."""
    at: dict[str, float] = {name: 0 for name in plan.earlier if name not in plan.skipped}
    if isinstance(plan, Refit):
        at |= {operation.name: 0 for operation in plan.teardown.operations if operation.kind is Kind.TASK}
    at = {step.operation.name: step.number for step in reversed(plan.steps)} | at
    for name in plan.machine.first:
        task = plan.machine.tasks[name]
        done, undone = at.get(Kind.TASK.of(name)), at.get(Kind.RESTORE.of(name), inf)
        for text in (name.replace("-", " "), task.label):
            if text and done is not None:
                yield text, done, undone
