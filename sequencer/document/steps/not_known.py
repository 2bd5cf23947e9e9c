"""What is not known of a plan, in words: an order only kept, what is unsaid, guesses, what a type says."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.graph.kept_things import things, unexplained
from sequencer.graph.operations import Operation, OperationGraph
from sequencer.machine.facts.taken import Told
from sequencer.plan.plan import Plan, Refit
from sequencer.wording import listing

GUESSED = "its place in the order is from memory"
FROM_TYPE = "from the type, not confirmed"
YIELDED = (
    "torqued with the rest of its face, later than it came apart would have it: see that it can be reached"
)


def order_words(plan: Plan) -> str:
    """How much of the order is known; empty where nothing of it is kept as the machine came apart."""
    found = plan.order_known
    if found is None:
        return ""
    return (
        f"{found.known or 'None'} of {found.pairs} orders between parts "
        f"{'is' if found.known == 1 else 'are'} known; the rest is kept as it came off."
    )


def type_words(plan: Plan) -> str:
    """How much of what it touches is from a type and was not confirmed; empty where that is nothing."""
    unsure = plan.machine.from_type.unsure
    if not unsure or isinstance(plan, Refit):
        return ""
    things = dict.fromkeys(one for op in plan.operations for one in _things(op))
    open_ones = [one for one in things if one in unsure]
    if not open_ones:
        return ""
    return (
        f"{len(open_ones)} of the {len(things)} parts and joints that it touches are as in the type "
        f"{plan.machine.from_type.machine}, and nobody has confirmed them."
    )


def from_type(plan: Plan, operation: Operation) -> bool:
    """Whether what an operation is done to is as in the type, and nobody confirmed it.

    On the way back it has been in somebody's hands.
    """
    unsure = plan.machine.from_type.unsure
    return not isinstance(plan, Refit) and any(one in unsure for one in _things(operation))


def _things(operation: Operation) -> tuple[str, ...]:
    """The part and the joint that an operation is done to."""
    if operation.part is None:
        return ()
    return (operation.part, f"{operation.part}/{operation.joint}") if operation.joint else (operation.part,)


def unsure_lines(plan: Plan) -> dict[int, tuple[str, ...]]:
    """What is not sure of a thing, by the number of the first step at it: ``count and head not said``."""
    told: set[str] = set()
    found: dict[int, tuple[str, ...]] = {}
    guesses = {name: one for one, names in _guessed(plan) for name in names}
    for step in plan.steps:
        fresh = {thing: words for thing, words in _of(plan, step.operation, guesses) if thing not in told}
        told.update(fresh)
        if fresh:
            found[step.number] = tuple(dict.fromkeys(fresh.values()))
    return found


def unsaid(plan: Plan, operation: Operation) -> tuple[str, ...]:
    """The keys of what an operation is done to that nobody said anything about, as the file names them."""
    if operation.part is None:
        return ()
    part = plan.machine.parts[operation.part]
    return part.joints[operation.joint].unsure if operation.joint else part.unsure


def guessed(plan: Plan, operation: Operation) -> bool:
    """Whether the place of an operation's thing in the order was told from memory."""
    return any(operation.name in names for _, names in _guessed(plan))


def _of(plan: Plan, operation: Operation, guesses: dict[str, Told]) -> Iterator[tuple[str, str]]:
    if keys := unsaid(plan, operation):
        yield operation.subject, f"{listing(keys)} not said"
    if from_type(plan, operation):
        unsure = plan.machine.from_type.unsure
        yield from ((f"type of {one}", FROM_TYPE) for one in _things(operation) if one in unsure)
    if isinstance(plan, Refit) and operation.name in plan.yielded:
        yield f"gate {operation.subject}", YIELDED
    if (told := guesses.get(operation.name)) is not None:
        yield f"place of {told}", GUESSED


def _guessed(plan: Plan) -> list[tuple[Told, tuple[str, ...]]]:
    """What was told from memory, with the operations of the plan that it is."""
    from_memory = plan.machine.taken_apart.guessed
    if not from_memory:
        return []
    steps = OperationGraph(plan.machine, {op.name: op for op in plan.operations}, {})
    pairs = unexplained(plan.machine, back=True) if plan.back else ()
    return [(one.told, one.touching) for one in things(steps, pairs) if one.told in from_memory]
