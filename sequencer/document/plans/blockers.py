"""What is in the way: one screen of what is least expected, then the whole tree."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sequencer.document.blocks import (
    Block,
    Heading,
    Item,
    Items,
    Node,
    Para,
    Span,
    Title,
    Tone,
    TreeBlock,
    Words,
)
from sequencer.document.hours import hours_words
from sequencer.document.plans.either import way_words
from sequencer.document.plans.plan import NOTHING
from sequencer.document.words import duration, plural, target_words
from sequencer.graph.blocker_tree import Call, Obstacle, subject
from sequencer.graph.blockers_surprise import Surprise
from sequencer.graph.operations import Because, Kind
from sequencer.graph.said import fluid_words, part_words, sentence, subject_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Machine, Place, State
from sequencer.machine.trade.relations import Relation
from sequencer.plan.blockers import InTheWay, OtherWay, Saved, also_stay
from sequencer.wording import listing

MOST_SURPRISES = 10
"""Named on the first screen; the tree has all."""

MOST_NAMED = 2
"""Others that are named beside a thing which several wait for; the rest is counted."""

_DONE = {
    State.OFF: "off",
    State.ASIDE: "aside",
    State.LOOSE: "loose",
}


def blockers_document(found: InTheWay) -> Iterator[Block]:
    """The first screen and the tree."""
    yield from head(found)
    if not found.order:
        yield Para(NOTHING)
        return
    yield from _surprises(found)
    if found.others:
        yield Heading("Either way will do")
        yield Items(tuple(Item(other_words(found, other)) for other in found.others))
    yield from _interrupted(found)
    yield Heading(f"What waits for what; the lines are those of {found.machine.file}")
    for target in found.tree.targets:
        yield TreeBlock(Node(thing_words(found.machine, target), _below(found, target)))


def savings_document(found: InTheWay) -> Iterator[Block]:
    """What each part in the way would save if it need not move, the most first."""
    yield from head(found)
    if not found.saved:
        return
    yield Heading("Worth a tool or a trick: what the way in would save if it need not move")
    yield Items(
        tuple(Item(_stays_words(found, saved), saved_words(found, saved)) for saved in found.saved), marks=12
    )
    yield from _interrupted(found)


def _interrupted(found: InTheWay) -> Iterator[Block]:
    if found.interrupted:
        words = f"Interrupted: {plural(found.missing, 'price')} not worked out."
        yield Para(words, Tone.STRONG, apart=True)


def head(found: InTheWay) -> Iterator[Block]:
    """The machine, the target, and how much has to move."""
    aims = listing(target_words(found.machine, target) for target in found.targets)
    yield Title(found.machine.name)
    yield Title(f"{aims}: what is in the way")
    if not found.order:
        return
    parts = found.tree.in_the_way
    off = sum(part.state is State.OFF for part in parts)
    eased = sum(part.state in (State.LOOSE, State.ASIDE) for part in parts)
    only = len(parts) - off - eased
    told = [
        f"{off} to come off" if off else "",
        f"{eased} only to be loosened or moved aside" if eased else "",
        f"{plural(only, 'joint')} to open" if only else "",
    ]
    least = "the least" if found.proven else f"at least {duration(found.bound_seconds)}, not proven the least"
    moving = f"{plural(len(parts), 'other part')}: {listing(word for word in told if word)}"
    in_all = (
        f"In all {hours_words(found.hours)}; by the file's times {duration(found.totals.seconds)}, {least}"
    )
    yield Para(f"{moving if parts else 'No other part'}. {in_all} that any order takes.")


# ---- Surprises ----


def _surprises(found: InTheWay) -> Iterator[Block]:
    if not found.surprise:
        return
    yield Heading("Surprises first")
    things = found.tree.things
    shown = [
        (name, seen) for name, seen in found.surprise.items() if seen.points or len(found.surprise) <= 3
    ][:MOST_SURPRISES]
    items = []
    for name, seen in shown:
        words = surprise_words(found.machine, seen)
        line: Words = (
            thing_words(found.machine, things[name]),
            Span(f"  {duration(found.seconds[name])}", Tone.FAINT),
            f": {'; '.join(words)}" if words else "",
        )
        items.append(Item(line))
    if left := len(found.surprise) - len(shown):
        items.append(Item(f"and {left} more, nearer at hand: see the tree below", tone=Tone.FAINT))
    yield Items(tuple(items))


def surprise_words(machine: Machine, seen: Surprise) -> list[str]:
    """Why it is a surprise, each reason in a few words."""
    words = []
    if seen.fluids:
        words.append(f"means draining {listing(fluid_words(machine, fluid) for fluid in seen.fluids)}")
    if seen.links > 2:
        words.append(f"{seen.links} links away")
    elif seen.not_joined:
        words.append("not joined to it")
    if seen.positions:
        words.append(f"from elsewhere ({listing(machine.positions[p].label for p in seen.positions)})")
    if seen.subsystem:
        words.append(f"belongs to the {name_of(seen.subsystem, None)}")
    if seen.only_eased:
        words.append("need not come off")
    return words


def thing_words(machine: Machine, thing: Obstacle) -> str:
    """A thing and how far it has to come: ``Under-tray aside``, ``Earth strap: head end undone``."""
    if not thing.is_part:
        operation = thing.operations[0]
        return sentence(machine, operation)
    if thing.state is not State.FITTED:
        return f"{part_words(machine, thing.name)} {_DONE[thing.state]}"
    if not thing.operations:
        return f"{part_words(machine, thing.name)} within reach"
    kinds = {op.kind for op in thing.operations}
    verb = "undone" if Kind.UNDO in kinds else "slackened" if Kind.SLACKEN in kinds else "cracked"
    names = [name_of(name, machine.joint(thing.name, name).label) for name in thing.joints]
    return f"{part_words(machine, thing.name)}: {' and '.join(names)} {verb}"


# ---- Ways not taken, and savings ----


def other_words(found: InTheWay, other: OtherWay) -> str:
    """``Fuel rail: feed undone, or Fuel rail aside: 2 min more``."""
    assert found.desk is not None
    taken, way = (way_words(found.desk.whole, one) for one in (other.taken, other.way))
    return f"{taken} (taken), or {way}: {_extra_words(found, other)} ({where(other.fork.reason.place)})"


def _extra_words(found: InTheWay, other: OtherWay) -> str:
    if other.price is None:
        return "price not worked out"
    saving = found.saving(other.price)
    if saving is None:
        return "not possible in this job"
    about = "" if other.price.proven and found.proven else "about "
    if saving == 0:
        return f"{about}the same time"
    return f"{about}{duration(abs(saving))} {'more' if saving < 0 else 'less'}"


def saved_words(found: InTheWay, saved: Saved) -> str:
    """``19 min``, ``about 19 min``, ``not possible``."""
    if saved.price is None:
        return "not known"
    saving = found.saving(saved.price)
    if saving is None:
        return "not possible"
    return f"{'' if saved.price.proven and found.proven else 'about '}{duration(saving)}"


def _stays_words(found: InTheWay, saved: Saved) -> str:
    """``Inlet manifold; Under-tray then stays too``."""
    label = part_words(found.machine, saved.part)
    also = [] if saved.price is None else also_stay(found, saved.price)
    names = [part_words(found.machine, thing.name) for thing in also if thing.name != saved.part]
    stays = "stay" if len(names) > 1 else "stays"
    return f"{label}; {listing(names, MOST_NAMED)} then {stays} too" if names else label


# ---- The tree ----


def _below(found: InTheWay, above: Obstacle) -> tuple[Node, ...]:
    """All that waits under a thing."""
    return tuple(Node(_leaf(found, thing), _below(found, thing)) for thing in found.tree.under(above.name))


def _leaf(found: InTheWay, thing: Obstacle) -> Words:
    first = thing.calls[0]
    others = _others(found, thing)
    also = f"; also for {listing(others, MOST_NAMED)}" if others else ""
    return (
        thing_words(found.machine, thing),
        Span(f" {duration(found.seconds[thing.name])}", Tone.FAINT),
        f": {call_words(found, first, thing)}",
        Span(f" ({where(first.reason.place)}){also}", Tone.FAINT),
    )


def where(place: Place) -> str:
    """File and line, the file without its folder: there is only one."""
    return f"{Path(place.file).name}:{place.line}"


def call_words(found: InTheWay, call: Call, thing: Obstacle) -> str:
    """Why a thing is asked for: ``before Cam cover can be reached``."""
    machine = found.machine
    assert found.desk is not None
    if call.later is None:
        return f"before {part_words(machine, thing.parent or '')} can be reached"
    later = found.desk.whole.operations[call.later]
    what = subject_words(machine, later, volume=False)
    able = {Kind.TASK: "done", Kind.DRAIN: "drained"}.get(later.kind, "reached")
    words = {
        Because.FIRST: "comes before everything else",
        Because.TASK: f"before work on {what}",
        Because.POSITION: f"before work on {what}",
        Because.WET: f"opening {what} would spill it",
        Because.RENEWED: f"renewed whenever {what} is drained",
        Because.BACK: call.reason.text,
        Because.AGAIN: call.reason.text,
        Because.KEPT: f"came before {what}, and nobody said why",
    }
    kind = call.reason.kind
    if isinstance(kind, Relation):
        return f"before {what} can {kind.able if able == 'reached' else f'be {able}'}"
    return words.get(kind, f"before {what} can be {able}")


def _others(found: InTheWay, thing: Obstacle) -> list[str]:
    """What else waits for it, by name; a task that is first of all is not waited for by name."""
    if thing.calls[0].reason.kind is Because.FIRST:
        return []
    assert found.desk is not None
    later = (found.desk.whole.operations[call.later] for call in thing.calls[1:] if call.later)
    names = dict.fromkeys(subject(operation) for operation in later)
    return [
        part_words(found.machine, name)
        if name in found.machine.parts
        else next(subject_words(found.machine, op, volume=False) for op in found.tree.things[name].operations)
        for name in names
        if name != thing.parent
    ]
