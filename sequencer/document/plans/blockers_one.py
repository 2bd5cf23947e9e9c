"""One part that is in the way: why it has to move, and what it would save if it need not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from sequencer.document.blocks import Block, Heading, Item, Items, Para, Tone
from sequencer.document.plans.blockers import head, surprise_words, thing_words
from sequencer.document.words import duration
from sequencer.graph.blocker_tree import Obstacle
from sequencer.graph.chain import Link
from sequencer.graph.operations import Operation
from sequencer.graph.said import part_words, sentence
from sequencer.machine.model import Machine
from sequencer.plan.blockers import InTheWay, Saved, also_stay
from sequencer.plan.plan import Teardown
from sequencer.wording import listing


def without_document(found: InTheWay) -> Iterator[Block]:
    """What the job would take if the parts asked about need not move."""
    yield from head(found)
    for saved in found.saved:
        yield Para(_without_words(found, saved), apart=saved is found.saved[0])
        besides = list(_told_besides(found, saved))
        if besides:
            yield Items(tuple(map(Item, besides)))


def _without_words(found: InTheWay, saved: Saved) -> str:
    label = part_words(found.machine, saved.part)
    price = saved.price
    saving = None if price is None else found.saving(price)
    if price is None or price.seconds is None or saving is None:
        return f"{label}: {'interrupted, not worked out' if price is None else 'not possible'}."
    if saved.part not in found.tree.things:
        return f"{label} does not move in this job: nothing to save."
    proven = "proven" if price.proven and found.proven else "not proven"
    return (
        f"If {label} need not move: by the file's times {duration(price.seconds)} instead of "
        f"{duration(found.totals.seconds)}; it saves {to_the_second(saving)} ({proven})."
    )


def to_the_second(seconds: Fraction) -> str:
    """``43 s``, ``1 min 43 s``: a saving stands beside two times whose minutes are rounded."""
    minutes, rest = divmod(round(seconds), 60)
    words = [f"{minutes} min"] * bool(minutes) + [f"{rest} s"] * bool(rest or not minutes)
    return " ".join(words)


def _told_besides(found: InTheWay, saved: Saved) -> Iterator[str]:
    price = saved.price
    if price is None or found.saving(price) is None or saved.part not in found.tree.things:
        return
    assert found.desk is not None
    also = [part_words(found.machine, t.name) for t in also_stay(found, price) if t.name != saved.part]
    if also:
        yield f"Then these need not move either: {listing(also)}."
    touched = (found.desk.whole.operations[name].part for name in price.order)
    instead = dict.fromkeys(part for part in touched if part and part not in found.tree.things)
    if instead:
        yield f"Instead these move: {listing(part_words(found.machine, part) for part in instead)}."


def why_document(found: InTheWay, part: str, chain: Sequence[Link], bound: Sequence[Link]) -> Iterator[Block]:
    """The shortest reason for which a part has to move, and the one that binds."""
    label = part_words(found.machine, part)
    if part in {target.part for target in found.targets}:
        yield Para(f"{label} is what the job is for.")
        return
    thing = found.tree.things[part]
    seen = found.surprise.get(part)
    yield Para(f"{thing_words(found.machine, thing)}: why", Tone.STRONG)
    if seen:
        words = surprise_words(found.machine, seen)
        yield Para(f"{duration(found.seconds[part])} by itself; {listing(words) or 'close at hand'}.")
    yield Heading("The shortest reason")
    assert found.desk is not None
    links = [link_words(found.machine, found.desk.whole.operations, link) for link in chain]
    yield Items(tuple(map(Item, links or ["the way to the target leads past it"])))
    yield Heading("What binds")
    yield Items(tuple(map(Item, binding_words(thing, bound))))


def chain_document(plan: Teardown, part: str, chain: Sequence[Link]) -> Iterator[Block]:
    """The shortest reason for which a plan moves a part, link by link."""
    operations = {operation.name: operation for operation in plan.operations}
    if not chain:
        yield Para(f"{part_words(plan.machine, part)} is what the job is for.")
    yield Items(tuple(Item(link_words(plan.machine, operations, link)) for link in chain))


def link_words(machine: Machine, operations: Mapping[str, Operation], link: Link) -> str:
    """``Take off Cam cover waits for: Take off Coil pack, since ... (file:line)``."""
    later, earlier = (sentence(machine, operations[name]) for name in (link.later, link.earlier))
    return f"{later} waits for: {earlier}, since {link.reason}."


def binding_words(thing: Obstacle, bound: Sequence[Link]) -> Iterable[str]:
    """The one relation without which the job would leave the part alone; or that there is no single one."""
    if bound:
        yield f"{bound[0].reason}. Without this one relation the job would leave it alone."
        return
    yield "No single relation; each of these asks for it, or for what waits for it:"
    for call in thing.calls:
        yield f"{call.reason}"
