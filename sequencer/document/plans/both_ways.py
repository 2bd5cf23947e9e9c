"""What sheets, lists, tags and exports are made from: one job, both ways, and what goes with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from hashlib import sha256
from typing import TYPE_CHECKING

from sequencer.document.evenings.sittings import proof_words
from sequencer.document.plans.plan import aims_of, worth
from sequencer.document.steps.cards import StationCard, refit_cards, teardown_cards
from sequencer.document.steps.not_known import order_words, type_words
from sequencer.graph.fastening import tools_in
from sequencer.graph.operations import Kind
from sequencer.job.now.bags import Bag
from sequencer.job.now.label_pairs import Label
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.model import Machine
from sequencer.plan.evenings.sittings import Evenings, Sitting
from sequencer.plan.plan import Plan, Refit, Teardown

if TYPE_CHECKING:
    from sequencer.document.jobs.written import Readings
    from sequencer.plan.closing.toolbox import Equipment


@dataclass(frozen=True)
class PaperJob:
    """A job as paper shows it.

    Attributes:
        back: The way back; None where it is left out.
        on: The date that is printed.
        sittings_in: Where the way in is cut; empty where it is not. ``sittings_back`` likewise.
        divided_in: How well, where its order was chosen for its sittings. ``divided_back`` likewise.
        unit: Torques are shown in this unit too.
        kit: The toolbox, where one is named: for the way in, and for the way back.
        bags: For an undoing, by the name of its operation, the mark of the bag for its fasteners.
        labels: Pairs of labels by joint.
        ticked: What is done already of the way in (False) and of the way back (True), by operation:
            ``done``, or ``skipped``.
        title: What the job is called; its machine and target where nobody gave it a name.
        people: Who works on it, where that is known; ``begun``: since when.
        at: The moment of the print or export, where one is to be told from another of the same day.
        jobs: The jobs of the machine file that it is.
        written: What was read at its gates, as ``document.written.readings`` has it; ``said``: what else was.
    """

    into: Teardown
    back: Refit | None
    on: date
    sittings_in: tuple[Sitting, ...] = ()
    sittings_back: tuple[Sitting, ...] = ()
    divided_in: Evenings[Teardown] | None = None
    divided_back: Evenings[Refit] | None = None
    unit: str | None = None
    kit_in: Equipment | None = None
    kit_back: Equipment | None = None
    bags: Mapping[str, str] = field(default_factory=dict)
    labels: Mapping[str, Label] = field(default_factory=dict)
    title: str = ""
    ticked: Mapping[bool, Mapping[str, str]] = field(default_factory=dict)
    people: tuple[str, ...] = ()
    begun: date | None = None
    at: datetime | None = None
    jobs: tuple[TypicalJob, ...] = ()
    written: Mapping[str, Readings] = field(default_factory=dict)
    said: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def machine(self) -> Machine:
        """The machine."""
        return self.into.machine

    @property
    def name(self) -> str:
        """The job in words, for the head of every page."""
        return self.title or f"{self.machine.name}: {aims_of(self.into)}"

    @property
    def order_mark(self) -> str:
        """By which a print of this order of work is told from one of another."""
        order = "\n".join(op.name for plan in self.ways for op in plan.operations)
        return sha256(order.encode()).hexdigest()[:6]

    @property
    def sittings(self) -> tuple[tuple[int, Plan, Sitting], ...]:
        """All sittings, numbered through both ways."""
        pairs: list[tuple[Plan, Sitting]] = [(self.into, one) for one in self.sittings_in]
        if self.back is not None:
            pairs += [(self.back, one) for one in self.sittings_back]
        return tuple((number, plan, one) for number, (plan, one) in enumerate(pairs, start=1))

    def behind(self, plan: Plan) -> bool:
        """Whether all of a way is ticked."""
        return bool(plan.steps) and all(self.tick(plan, op.name) for op in plan.operations)

    def tick(self, plan: Plan, operation: str) -> str:
        """``done``, ``skipped``, or nothing, of an operation of one of the ways."""
        return self.ticked.get(plan.back, {}).get(operation, "")

    def worth(self, plan: Plan) -> str:
        """How good the order of a way is; of one that a job has behind it, or goes by, just that."""
        if self.behind(plan):
            return "This is how it was done."
        if any(self.ticked.values()) and plan.bound is None:
            told = "The order and the numbers that the job goes by; no shorter order was looked for here."
            return " ".join(filter(None, (told, order_words(plan), type_words(plan))))
        divided = self.divided_back if plan.back else self.divided_in
        if divided is None and plan.breaks and not plan.proven:
            return "The order and the numbers that the job goes by, cut into its sittings."
        return " ".join(proof_words(divided)) if divided is not None else worth(plan)

    @property
    def ways(self) -> tuple[Plan, ...]:
        """The way in, and the way back if there is one."""
        return (self.into, self.back) if self.back is not None else (self.into,)


def bag_words(bags: Mapping[str, Bag]) -> dict[str, str]:
    """The mark of each bag, by the operations that fill and empty it."""
    found: dict[str, str] = {}
    for path, bag in bags.items():
        found[Kind.UNDO.of(path)] = found[Kind.FASTEN.of(path)] = f"Bag {bag.number}"
    return found


def at_step(job: PaperJob, plan: Plan, step: int) -> str:
    """``in 12``, ``back 3``: a step of either way, in few signs."""
    if job.back is None:
        return str(step)
    return f"{'back' if plan is job.back else 'in'} {step}"


def first_needed(plans: Iterable[Plan]) -> dict[str, tuple[Plan, int]]:
    """Each tool with the plan and step that first needs it; what goes on a torque wrench counts by itself."""
    found: dict[str, tuple[Plan, int]] = {}
    for plan in plans:
        for step in plan.steps:
            for name in tools_in(step.operation.tool):
                found.setdefault(name, (plan, step.number))
    found.pop("hand", None)
    return found


def paper_cards(job: PaperJob, plan: Plan) -> list[StationCard]:
    """The stations of one way of a job."""
    if isinstance(plan, Refit):
        return refit_cards(plan, job.unit, job.kit_back)
    assert isinstance(plan, Teardown)
    return teardown_cards(plan)
