"""What is in the way of a target, what each thing takes by itself, and what it would be worth to avoid it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.graph import Target
from sequencer.graph.blocker_tree import Blockers, Fork, Obstacle, Way, blockers, forks, subject
from sequencer.graph.blockers_surprise import Surprise, surprises
from sequencer.graph.chain import Link, binding, why
from sequencer.graph.said import part_words
from sequencer.graph.targets import goals
from sequencer.machine.model import Machine
from sequencer.plan.answer import Watch
from sequencer.plan.hours.hours import Hours
from sequencer.plan.order.replay import replay
from sequencer.plan.plan import Teardown, Totals
from sequencer.plan.prices.prices import Change, Price, Pricer, Stays, Through
from sequencer.plan.prices.prices_many import Prices, Told, price_all, with_others, worthwhile


@dataclass(frozen=True)
class OtherWay:
    """A way not taken. ``price`` is of the whole job that way; None: not known."""

    fork: Fork
    taken: Way
    way: Way
    price: Price | None


@dataclass(frozen=True)
class Saved:
    """What the job would take if a part need not move. ``price`` None: not known."""

    part: str
    price: Price | None


@dataclass(frozen=True)
class InTheWay:
    """The whole answer to "what is in the way?".

    Attributes:
        totals: Of the best way in; ``bound_seconds`` and ``proven`` say how good it is.
        hours: How long that really takes.
        tree: What has to move, and why.
        seconds: What each thing takes by itself, without the way to it and the change of tool.
        surprise: For each part in the way, most surprising first.
        others: The ways not taken, in the order of the job.
        saved: For the parts that were asked about, what they would save; the most first.
        interrupted: The prices were interrupted; ``missing`` says how many were asked for in vain.
    """

    machine: Machine
    targets: tuple[Target, ...]
    totals: Totals
    hours: Hours
    bound_seconds: Fraction
    proven: bool
    order: tuple[str, ...]
    tree: Blockers
    seconds: Mapping[str, Fraction]
    surprise: Mapping[str, Surprise]
    others: tuple[OtherWay, ...] = ()
    saved: tuple[Saved, ...] = ()
    interrupted: bool = False
    missing: int = 0
    desk: Pricer | None = field(default=None, repr=False, compare=False)

    def saving(self, price: Price) -> Fraction | None:
        """What a changed job takes less than this one; negative where it takes more; None: it can't be."""
        return None if price.seconds is None else self.totals.seconds - price.seconds


def in_the_way(
    machine: Machine,
    targets: Sequence[Target],
    limits: Limits = Limits(),  # noqa: B008 - frozen
    watch: Watch | None = None,
    *,
    price: Iterable[str] | None = (),
    ways: bool = True,
    workers: int = 1,
    told: Told | None = None,
) -> InTheWay:
    """Solve the job, lay out what has to move for it, and price the ways not taken.

    Args:
        machine: The machine.
        targets: What the job is for.
        limits: For each question put to the engine.
        watch: Told while the job itself is solved.
        price: Parts to price as if they need not move; None: all that move.
        ways: Whether the ways not taken are priced too.
        workers: Processes to share the prices.
        told: Told after each price.

    Raises:
        UnreachableError: No order of work reaches the targets.
        SequencerError: A part to be priced is itself a target.
    """
    workers = worthwhile(workers, machine)
    ahead = workers if price is None else 1
    desk, hands = with_others(ahead, lambda: Pricer(machine, targets, limits, watch))
    answer = desk.answer
    tree = blockers(desk.graph, targets, answer.order)
    parts = [thing.name for thing in tree.in_the_way] if price is None else list(price)
    _refuse_targets(machine, targets, parts)
    others = _ways_not_taken(desk)
    through = [Through(fork, way) for fork, _, way in others] if ways else []
    questions: list[Change] = [*through, *map(Stays, parts)]
    moving = {thing.name for thing in tree.in_the_way}
    prices = price_all(desk, [q for q in questions if not _is_idle(q, moving)], workers, told, hands)
    missing = prices.missing
    for part in parts:
        if part not in moving:
            prices.known[Stays(part)] = Price(
                answer.totals.seconds, answer.bound_seconds, answer.proven, answer.order
            )
    return InTheWay(
        machine,
        tuple(targets),
        answer.totals,
        desk.hours,
        answer.bound_seconds,
        answer.proven,
        answer.order,
        tree,
        _own_seconds(desk),
        surprises(desk.graph, tree),
        tuple(OtherWay(f, taken, way, prices.known.get(Through(f, way))) for f, taken, way in others),
        _ranked(parts, prices),
        prices.interrupted,
        missing,
        desk,
    )


def _own_seconds(desk: Pricer) -> dict[str, Fraction]:
    """What each thing of the job takes by itself."""
    seconds: dict[str, Fraction] = {}
    for step in replay(desk.graph, desk.answer.order, desk.changes):
        name = subject(step.operation)
        seconds[name] = seconds.get(name, Fraction(0)) + step.seconds
    return seconds


def _ways_not_taken(desk: Pricer) -> list[tuple[Fork, Way, Way]]:
    """(need, way taken, other way), in the order of the job."""
    return [
        (fork, next(way for way in fork.ways if way.taken), way)
        for fork in forks(desk.graph, desk.wanted, desk.answer.order)
        for way in fork.ways
        if not way.taken
    ]


def _is_idle(question: object, moving: set[str]) -> bool:
    """Whether a part is asked about that the job leaves alone: nothing is saved, nothing need be solved."""
    return isinstance(question, Stays) and question.part not in moving


def _ranked(parts: Iterable[str], prices: Prices) -> tuple[Saved, ...]:
    """The cheapest job first, what has no price last."""
    saved = [Saved(part, prices.known.get(Stays(part))) for part in dict.fromkeys(parts)]

    def worth(one: Saved) -> tuple[bool, Fraction]:
        known = one.price is not None and one.price.seconds is not None
        return not known, one.price.seconds if one.price and one.price.seconds is not None else Fraction(0)

    return tuple(sorted(saved, key=worth))


def _refuse_targets(machine: Machine, targets: Iterable[Target], parts: Iterable[str]) -> None:
    aims = {target.part for target in targets if target.state is not None}
    for part in parts:
        if part not in machine.parts:
            raise SequencerError(f"{machine.file} has no part {part!r}", "name a part of the machine")
        if part in aims:
            raise SequencerError(
                f"{part} is what the job is for: it has to move", "ask about a part in its way"
            )


def reasons(found: InTheWay, part: str) -> tuple[tuple[Link, ...], tuple[Link, ...]]:
    """The shortest chain from a target to a part, and its links that bind, nearest to the part first.

    Raises:
        SequencerError: The job leaves the part alone.
    """
    _refuse_idle(found.machine, found.tree.things, part)
    assert found.desk is not None
    job = found.desk.graph, found.desk.wanted, found.order, part
    return why(*job), binding(*job)


def chain_of(plan: Teardown, part: str) -> tuple[Link, ...]:
    """The shortest chain from a target of a plan to a part, the target's end first.

    Raises:
        SequencerError: The plan leaves the part alone.
    """
    _refuse_idle(plan.machine, {operation.part for operation in plan.operations}, part)
    names = [operation.name for operation in plan.operations]
    return why(plan.graph, goals(plan.graph, plan.targets), names, part)


def _refuse_idle(machine: Machine, moving: Container[str | None], part: str) -> None:
    if part not in moving:
        label = part_words(machine, part)
        raise SequencerError(f"this job leaves {label} alone", "ask about a part that moves")


def also_stay(found: InTheWay, price: Price) -> tuple[Obstacle, ...]:
    """What else need not move then."""
    left = set(price.order)
    return tuple(
        thing for thing in found.tree.in_the_way if left.isdisjoint(op.name for op in thing.operations)
    )
