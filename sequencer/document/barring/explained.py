"""Of each thing in a job's picture, in words: why it is in the way, and where it is now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sequencer.document.barring.things import Ask, Barring, Boxed, Stage, Standing
from sequencer.graph.operations import Kind
from sequencer.graph.said import joint_words
from sequencer.job.now.moment import Moment
from sequencer.job.reports.whereabouts import rides_on
from sequencer.machine.model import State
from sequencer.wording import capital

_AS_IT_IS = frozenset({Stage.AHEAD, Stage.NEXT, Stage.IN_HAND})


@dataclass(frozen=True)
class Explained:
    """What is said of a thing: its name, why it is in the way, where it is; sentences without a stop."""

    name: str
    why: tuple[str, ...]
    where: tuple[str, ...]


def abouts(moment: Moment, picture: Barring) -> dict[str, Explained]:
    """What is said of each thing, by its key; ``picture`` is of the same moment."""
    waiting: dict[str, list[str]] = {}
    for thing in picture.things.values():
        for joint, ask in thing.waits():
            who = joint_words(moment.machine, thing.key, joint) if joint else thing.words
            for way in ask.ways:
                if way.thing != thing.key:
                    waiting.setdefault(way.thing, []).append(_because(who, ask, taken=way.taken))
    found = {}
    for key, thing in picture.things.items():
        why = dict.fromkeys(waiting.get(key, ()))
        aim = ("What the job is for",) if thing.look is Standing.AIM else ()
        found[key] = Explained(thing.words, tuple(why), (*aim, *_where(moment, thing)))
    return found


def _because(who: str, ask: Ask, *, taken: bool) -> str:
    """``Impeller: behind it``; of a choice also that another would do, or does."""
    said = f"{who}: {ask.phrase} it"
    if len(ask.ways) == 1:
        return said
    return f"{said}, or one of {len(ask.ways) - 1} others" + ("" if taken else ", which the plan takes")


def _where(moment: Moment, thing: Boxed) -> Iterator[str]:
    part = moment.machine.parts.get(thing.key)
    if thing.stage is Stage.NEXT:
        yield "Next"
    elif thing.stage is Stage.IN_HAND:
        yield "Begun, not finished"
    if part is None:
        yield capital(thing.told) if thing.told else "Not done yet"
        return
    off, aside = (kind.of(part.name) in moment.state.done for kind in (Kind.REMOVE, Kind.MOVE_ASIDE))
    if on := rides_on(moment, part.name):
        yield f"Off, on {on}"
    elif thing.stage is Stage.BACK or not thing.gone:
        yield "Back as it was" if thing.stage is Stage.BACK else "Still on"
    elif off or aside:
        yield "Off" if off else "Moved aside" + (f": {part.tie}" if part.tie else "")
    else:
        yield (
            capital(State.LOOSE.word)
            if Kind.LOOSEN.of(part.name) in moment.state.done
            else "Opened, still on"
        )
    for row in thing.rows:
        bag = moment.bags.get(f"{part.name}/{row.joint}")
        if row.gone:
            yield f"{capital(row.words)}: " + (f"in bag {bag.number}" if bag else "undone")
    for op in (Kind.REMOVE, Kind.MOVE_ASIDE, Kind.LOOSEN):
        yield from (f"Noted: {text}" for text in moment.notes.get(op.of(part.name), ()))
    if thing.stage in _AS_IT_IS and thing.number:
        verb = "goes back" if moment.state.turned else "moves"
        yield f"It {verb} at step {thing.number}"
