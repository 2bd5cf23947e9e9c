"""Where something is: the bag of its fasteners, the step at which it came off, its labels, its photos."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.state import Tick
from sequencer.job.now.moment import Moment
from sequencer.machine.called import joint_words, joints_in, meant_parts, part_label, words_of
from sequencer.machine.faults import nearest
from sequencer.machine.model import Machine, Subject

_STATES = {Kind.REMOVE: "off", Kind.MOVE_ASIDE: "aside", Kind.LOOSEN: "loose"}
_BACK = {Kind.FIT: "fitted again", Kind.MOVE_BACK: "moved back", Kind.SEAT: "seated again"}
_OPENED = {Kind.UNDO: "undone", Kind.SLACKEN: "slack", Kind.CRACK: "cracked"}


@dataclass(frozen=True)
class Whereabouts:
    """What is known of a part or joint.

    Attributes:
        thing: A part, or ``part/joint``.
        state: In a word: ``fitted``, ``off``, ``undone``, ``fastened again`` …
        bag: The number of the bag with its fasteners.
        label: The mark of its pair of labels.
        ticks: What was done to it, in order.
        photos: Files in the photo folder, in order.
        notes: What was noted at its steps.
        planned: The number of the next step that is about it; None: none is left.
    """

    thing: str
    state: str
    bag: int | None
    label: str | None
    ticks: tuple[Tick, ...]
    photos: tuple[str, ...]
    notes: tuple[str, ...]
    planned: int | None


def where(moment: Moment, words: str) -> tuple[Whereabouts, ...]:
    """Everything whose name has all of ``words`` in it, joints before parts, in the order of the file.

    Raises:
        SequencerError: The machine has nothing of that name.
    """
    asked = words_of(words)
    if not asked:
        raise SequencerError("nothing was asked for", 'use words from the steps, such as "lower bolts"')
    given = words.strip()
    exact = [given] if Subject(given).of_joint and given in _things(moment.machine) else []
    if len(parts := meant_parts(moment.machine, given)) == 1:
        exact = [*(joint.path for joint in moment.machine.parts[parts[0]].joints.values()), *parts]
    found = exact or [name for name, said in _things(moment.machine).items() if asked <= said]
    if not found:
        known = [*moment.machine.parts, *_things(moment.machine)]
        near = nearest(words.strip(), known)
        raise SequencerError(
            f"the machine has nothing called {words.strip()!r}",
            f"did you mean {near!r}?" if near else "use words from the steps: a part, a joint, or both",
        )
    return tuple(_of(moment, name) for name in found)


def _things(machine: Machine) -> dict[str, frozenset[str]]:
    """Every joint and part with the words that it goes by."""
    joints = {path: joint_words(machine, joint) for path, joint in joints_in(machine).items()}
    return joints | {
        part.name: words_of(f"{part.name} {part_label(part)}") for part in machine.parts.values()
    }


def _of(moment: Moment, thing: str) -> Whereabouts:
    state = moment.state
    ticks = tuple(tick for op, tick in state.ticks.items() if op.subject == thing)
    ops = {tick.op for tick in ticks} | {op for _, op in state.steps if op.subject == thing}
    bag, label = moment.bags.get(thing), moment.labels.get(thing)
    photos = [one.event.body for one in state.of(EventKind.PHOTO)]
    notes = [one.event.body for one in state.of(EventKind.NOTE)]
    return Whereabouts(
        thing=thing,
        state=f"off, on {on}" if (on := rides_on(moment, thing)) else _state(thing, ticks),
        bag=bag.number if bag else None,
        label=label.mark if label else None,
        ticks=ticks,
        photos=tuple(str(body["file"]) for body in photos if body.get("op") in ops),
        notes=tuple(str(body["text"]) for body in notes if body.get("op") in ops),
        planned=next((number for number, op in state.left if op.subject == thing), None),
    )


def rides_on(moment: Moment, thing: str) -> str:
    """The name of the part on which a part has gone off and lies still; empty for none, and for a joint."""
    ticked = moment.state.ticks
    if thing not in moment.machine.parts or Kind.REMOVE.of(thing) in ticked:
        return ""
    away = (one for one in moment.machine.carriers(thing) if Kind.REMOVE.of(one) in ticked)
    lying = (moment.machine.parts[one] for one in away if Kind.FIT.of(one) not in ticked)
    return next((part_label(part) for part in lying), "")


def _state(thing: str, ticks: tuple[Tick, ...]) -> str:
    kinds = [tick.op.kind for tick in ticks]
    if Subject(thing).of_joint:
        if Kind.TORQUE in kinds:
            return "at its torque"
        if Kind.FASTEN in kinds or Kind.RETIGHTEN in kinds:
            return "fastened again"
        return next((word for kind, word in _OPENED.items() if kind in kinds), "as it was")
    back = next((_BACK[kind] for kind in _BACK if kind in kinds), None)
    return back or next((_STATES[kind] for kind in _STATES if kind in kinds), "fitted")
