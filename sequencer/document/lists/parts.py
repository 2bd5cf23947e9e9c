"""The shopping list: what is fitted new, the fluids, the sealants; how much, for how much, and by when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from sequencer.document.lists.rows import Listing
from sequencer.document.plans.both_ways import PaperJob
from sequencer.graph.operations import Kind
from sequencer.graph.said import part_words, path_words
from sequencer.machine.called import name_of
from sequencer.plan.closing.supplies import by_experience, renewals, renewed
from sequencer.wording import listing

HEADS = ("No.", "Item", "For", "Each", "In all", "Needed by")


@dataclass(frozen=True)
class Supply:
    """One thing to have ready.

    Attributes:
        kind: ``renewal``, ``fluid``, ``sealant``, or ``experience``: what its job renews by experience.
        item: What to ask for over the counter.
        count: How many; for a fluid the litres. None where nobody has said.
        unit: ``L`` for a fluid; empty otherwise.
        price: For one of them, in the money of the file.
        uses: What it is for, in words.
        step: The step of the way back that first needs it; None where the way back is left out.
        sitting: The sitting that needs it; None where the job is not cut.
    """

    kind: str
    item: str
    count: float | None
    unit: str
    price: Fraction | None
    uses: tuple[str, ...]
    step: int | None
    sitting: int | None

    @property
    def total(self) -> Fraction | None:
        """The price of all of them."""
        if self.price is None or self.count is None:
            return None
        return self.price * Fraction(self.count)


def supplies(job: PaperJob) -> tuple[Supply, ...]:
    """All that a job uses up: renewals as the way in goes, fluids, sealants, what experience adds."""
    merged: dict[tuple[str, Fraction | None], Supply] = {}
    for one in (*_renewals(job), *_fluids(job), *_sealants(job)):
        key = (f"{one.kind} {one.item}", one.price)
        merged[key] = _together(merged[key], one) if key in merged else one
    return (*merged.values(), *_by_experience(job, merged.values()))


def _by_experience(job: PaperJob, others: Iterable[Supply]) -> Iterator[Supply]:
    known = (f"{one.item}/{use}" for one in others for use in one.uses)
    for words, _ in by_experience(job.jobs, known):
        yield Supply("experience", words, None, "", None, ("by experience",), None, None)


def _together(one: Supply, other: Supply) -> Supply:
    counts = None if one.count is None or other.count is None else one.count + other.count
    first = min((one, other), key=lambda supply: (supply.step is None, supply.step))
    uses = tuple(dict.fromkeys((*one.uses, *other.uses)))
    return Supply(one.kind, one.item, counts, one.unit, one.price, uses, first.step, first.sitting)


def _renewals(job: PaperJob) -> Iterator[Supply]:
    fitted = {} if job.back is None else {one.owner: one.operation.name for one in renewed(job.back)}
    numbers = {} if job.back is None else {step.operation.name: step.number for step in job.back.steps}
    for owner, renewal in renewals(job.into):
        step = numbers.get(fitted.get(owner, ""))
        uses = (part_words(job.machine, owner),)
        yield Supply(
            "renewal", renewal.item, renewal.count, "", renewal.price, uses, step, _sitting(job, step)
        )


def _fluids(job: PaperJob) -> Iterator[Supply]:
    for name in job.into.fluids:
        fluid = job.machine.fluids[name]
        if fluid.fill is None:
            continue
        step = _filled(job, name)
        words = name_of(name, fluid.label)
        yield Supply("fluid", words, fluid.volume_litres, "L", None, ("filling",), step, _sitting(job, step))


def _sealants(job: PaperJob) -> Iterator[Supply]:
    """Sealants go on in the way back only; without it none is known."""
    if job.back is None:
        return
    labels = {hold.sealed: hold.label for hold in job.back.holds}
    for step in job.back.steps:
        op = step.operation
        if op.kind is Kind.SEAL:
            use = path_words(job.machine, op.subject)
            label = labels.get(op.subject, "Sealant")
            yield Supply("sealant", label, None, "", None, (use,), step.number, _sitting(job, step.number))


def _filled(job: PaperJob, fluid: str) -> int | None:
    steps = job.back.steps if job.back is not None else ()
    filling = (s.number for s in steps if s.operation.kind is Kind.FILL and s.operation.subject == fluid)
    return next(filling, None)


def _sitting(job: PaperJob, step: int | None) -> int | None:
    """The sitting of the way back that a step is in."""
    found = (
        number
        for number, plan, sitting in job.sittings
        if plan is job.back and any(one.number == step for one in sitting.steps)
    )
    return next(found, None)


def parts_list(job: PaperJob) -> Listing:
    """The shopping list in words."""
    found = supplies(job)
    total = sum((supply.total or Fraction(0) for supply in found), Fraction(0))
    unpriced = sum(supply.total is None for supply in found)
    notes = []
    if total:
        more = f"; {unpriced} more without a price" if unpriced else ""
        notes.append(f"Total at the prices in the file: {float(total):.2f}{more}.")
    return Listing(
        f"To buy for {job.name}", HEADS, tuple(_row(one) for one in found), frozenset(), frozenset({0, 3, 4}),
        tuple(notes),
    )  # fmt: skip


def _row(supply: Supply) -> tuple[str, ...]:
    count = "as needed" if supply.count is None else f"{supply.count:g} {supply.unit}".strip()
    each = "" if supply.price is None else f"{float(supply.price):.2f}"
    total = "" if supply.total is None else f"{float(supply.total):.2f}"
    return count, supply.item, listing(supply.uses, 3), each, total, _by(supply)


def _by(supply: Supply) -> str:
    if supply.step is None:
        return "the way back"
    at = f"back {supply.step}"
    return f"sitting {supply.sitting} ({at})" if supply.sitting is not None else at
