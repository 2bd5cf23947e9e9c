"""Cautions where they belong: those of the machine file, and the usual ones of the trade beside them."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.graph.operations import Kind, Operation
from sequencer.machine.model import Said
from sequencer.plan.hazards import Hazard, cold_words, hazards, subject, table
from sequencer.plan.lifting import Lift, lift_words, lifts
from sequencer.plan.phrases import says_each, words_of
from sequencer.plan.plan import Plan, Refit, Step
from sequencer.quantities import parse_seconds


@dataclass(frozen=True)
class Caution:
    """A caution at a step; ``source`` is ``file``, or who says so: a rule of law, or ``common practice``."""

    text: str
    source: str


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
    shown: set[tuple[str, str]] = set()
    found: dict[int, tuple[Caution, ...]] = {}
    at = _At(plan)
    elapsed, cold = Fraction(0), plan.back
    for step in plan.steps if steps is None else steps:
        if step.number in sittings:
            shown.clear()
        cold = cold or elapsed >= parse_seconds(table()["cold"]["after"])
        own = at.own(step.operation)
        fresh = []
        for about, caution in at.told(step, own, cold=cold):
            if (about, caution.text) not in shown:
                shown.add((about, caution.text))
                fresh.append(caution)
        if fresh:
            found[step.number] = tuple(fresh)
        elapsed += step.seconds + step.change_seconds
        cool = cold_words(drained=step.operation.kind is Kind.DRAIN)
        cold = cold or any(says_each(text, cool) for text in own)
    return found


class _At:
    """What bears on the steps of a plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.machine = plan, plan.machine
        self.lifts = lifts(plan)
        way_in = plan.teardown.operations if isinstance(plan, Refit) else plan.operations
        done = {operation.subject for operation in way_in if operation.kind is Kind.TASK}
        first = [self.machine.tasks[name] for name in self.machine.first if name in done]
        self.settled = [text for task in first for text in (task.name.replace("-", " "), task.label) if text]

    def told(self, step: Step, own: Sequence[str], *, cold: bool) -> Iterator[tuple[str, Caution]]:
        """Every caution of a step, with what it is about; the file's come first."""
        operation = step.operation
        yield from self._place(operation)
        thing = operation.part or operation.subject
        yield from ((thing, Caution(text, "file")) for text in own)
        lift = self.lifts.get(step.number)
        for hazard in self._usual(operation, lift, own, cold=cold):
            if text := self._text(operation, lift, hazard):
                yield thing, Caution(text, hazard.source)

    def own(self, operation: Operation) -> tuple[str, ...]:
        """What the file warns of at an operation, on this way."""
        return tuple(text for said in self._own(operation) for text in said.on(back=self.plan.back))

    def _own(self, operation: Operation) -> Iterator[Said]:
        part, joint = subject(self.machine, operation)
        if part is not None:
            yield part.cautions
            if joint is not None:
                yield joint.cautions
        elif operation.kind in (Kind.TASK, Kind.RESTORE):
            yield self.machine.tasks[operation.subject].cautions
        else:
            yield self.machine.fluids[operation.subject].cautions

    def _place(self, operation: Operation) -> Iterator[tuple[str, Caution]]:
        position = self.machine.positions[operation.position]
        own = position.cautions.on(back=self.plan.back)
        yield from ((position.name, Caution(text, "file")) for text in own)
        words = words_of(f"{position.name} {position.label}")
        fit = [hazard for hazard in hazards() if hazard.fits_place(words)]
        for hazard in _not_silenced(fit):
            if not hazard.said_in(own):
                yield position.name, Caution(hazard.text, hazard.source)

    def _usual(
        self, operation: Operation, lift: Lift | None, own: Sequence[str], *, cold: bool
    ) -> Iterator[Hazard]:
        """The hazards of an operation of which the file does not speak."""
        joint = subject(self.machine, operation)[1]
        fit = [hazard for hazard in hazards() if hazard.fits(self.machine, operation, lift)]
        label = tuple(self._said_by_the_task(operation))
        for hazard in _not_silenced(fit):
            if (
                not (joint and joint.kind in hazard.not_kinds)
                and not (hazard.cools and cold)
                and not hazard.said_in((*own, *label) if hazard.settled else own)
            ):
                yield hazard

    def _said_by_the_task(self, operation: Operation) -> Iterator[str]:
        """The words of a task itself, which tell what to do: battery off first, the lock on."""
        if operation.kind in (Kind.TASK, Kind.RESTORE):
            task = self.machine.tasks[operation.subject]
            undone = operation.kind is Kind.RESTORE and task.undo
            yield from filter(None, (task.undo.label if undone and task.undo else task.label,))
            yield from task.notes.on(back=self.plan.back)

    def _text(self, operation: Operation, lift: Lift | None, hazard: Hazard) -> str:
        if operation.kind is Kind.RESTORE and hazard.lowering:
            return hazard.lowering
        if hazard.settled_by(self.settled):
            return hazard.settled_text
        return hazard.text.format(weight=lift_words(self.machine, lift) if lift else "")


def _not_silenced(fit: Sequence[Hazard]) -> Iterator[Hazard]:
    names = {hazard.name for hazard in fit}
    return (hazard for hazard in fit if not hazard.yields & names)
