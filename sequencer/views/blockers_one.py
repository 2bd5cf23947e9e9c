"""One part that is in the way: why it has to move, and what it would save if it need not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from sequencer.graph.blockers import Thing
from sequencer.graph.chain import Link
from sequencer.plan.blockers import InTheWay, Saved, also_stay
from sequencer.views.blockers import head, surprise_words, thing_words
from sequencer.views.lines import hanging
from sequencer.views.words import duration, listing, part_words, sentence

if TYPE_CHECKING:
    from rich.console import Console


def print_without(found: InTheWay, console: Console) -> None:
    """What the job would take if the parts asked about need not move."""
    head(found, console)
    console.print()
    for saved in found.saved:
        label = part_words(found.machine, saved.part)
        price = saved.price
        saving = None if price is None else found.saving(price)
        if price is None or price.seconds is None or saving is None:
            hanging(
                console, f"{label}: {'interrupted, not worked out' if price is None else 'not possible'}."
            )
            continue
        if saved.part not in found.tree.things:
            hanging(console, f"{label} does not move in this job: nothing to save.")
            continue
        proven = "proven" if price.proven and found.proven else "not proven"
        hanging(
            console,
            f"If {label} need not move: {duration(price.seconds)} instead of "
            f"{duration(found.totals.seconds)}; it saves {to_the_second(saving)} ({proven}).",
        )
        _told_besides(found, saved, console)


def to_the_second(seconds: Fraction) -> str:
    """``43 s``, ``1 min 43 s``: a saving stands beside two times whose minutes are rounded."""
    minutes, rest = divmod(round(seconds), 60)
    words = [f"{minutes} min"] * bool(minutes) + [f"{rest} s"] * bool(rest or not minutes)
    return " ".join(words)


def _told_besides(found: InTheWay, saved: Saved, console: Console) -> None:
    assert saved.price is not None
    assert found.desk is not None
    also = [part_words(found.machine, t.name) for t in also_stay(found, saved.price) if t.name != saved.part]
    if also:
        hanging(console, f"Then these need not move either: {listing(also)}.", lead="  ")
    touched = (found.desk.whole.operations[name].part for name in saved.price.order)
    instead = dict.fromkeys(part for part in touched if part and part not in found.tree.things)
    if instead:
        names = listing(part_words(found.machine, part) for part in instead)
        hanging(console, f"Instead these move: {names}.", lead="  ")


def print_why(
    found: InTheWay, part: str, chain: Sequence[Link], bound: Sequence[Link], console: Console
) -> None:
    """The shortest reason for which a part has to move, and the one that binds."""
    label = part_words(found.machine, part)
    if part in {target.part for target in found.targets}:
        hanging(console, f"{label} is what the job is for.")
        return
    thing = found.tree.things[part]
    seen = found.surprise.get(part)
    hanging(console, f"{thing_words(found.machine, thing)}: why", style="bold")
    if seen:
        words = surprise_words(found.machine, seen)
        hanging(console, f"{duration(found.seconds[part])} by itself; {listing(words) or 'close at hand'}.")
    console.print()
    hanging(console, "The shortest reason", style="bold")
    for link in chain:
        hanging(console, link_words(found, link), lead="  ", hang=4)
    if not chain:
        hanging(console, "the way to the target leads past it", lead="  ")
    console.print()
    hanging(console, "What binds", style="bold")
    for line in binding_words(thing, bound):
        hanging(console, line, lead="  ", hang=4)


def link_words(found: InTheWay, link: Link) -> str:
    """``Take off Cam cover waits for: Take off Coil pack, since ... (file:line)``."""
    assert found.desk is not None
    operations = found.desk.whole.operations
    later, earlier = (sentence(found.machine, operations[name]) for name in (link.later, link.earlier))
    return f"{later} waits for: {earlier}, since {link.reason}."


def binding_words(thing: Thing, bound: Sequence[Link]) -> Iterable[str]:
    """The one relation without which the job would leave the part alone; or that there is no single one."""
    if bound:
        yield f"{bound[0].reason}. Without this one relation the job would leave it alone."
        return
    yield "No single relation; each of these asks for it, or for what waits for it:"
    for call in thing.calls:
        yield f"{call.reason}"
