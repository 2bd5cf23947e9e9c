"""What would open a circle of waiting: one state more, or one relation less, each found by trying.

Only changes of one place are tried, those that a link speaks of; a change is named only if with it alone the
target can be reached.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import chain

from sequencer.graph.operations import REACHES, Because, Operation, Reason
from sequencer.machine.model import Atom, Freedom, Machine, Need, Part, Place, State
from sequencer.machine.trade.relations import Relation

MOST_NAMED = 3
"""Changes that are named: the best."""


@dataclass(frozen=True)
class CircleLink:
    """One link of a circle: what is waited for in vain, and why."""

    waited_for: Operation
    reason: Reason


@dataclass(frozen=True)
class _Change:
    """A file with one thing changed; ``words`` ask the reader whether it may be so."""

    words: str
    machine: Machine


def openings(
    machine: Machine, links: Sequence[CircleLink], able: Collection[Place], opens: Callable[[Machine], bool]
) -> list[str]:
    """The changes that open a circle, in words, the best first.

    A state that a part lacks comes before a relation struck out, since it keeps what the author knew; else
    the circle's order stands.

    Args:
        machine: The file as it is.
        links: What is waited for in vain, the circle first.
        able: Where a relation may open the target when it is struck out; the others are not tried.
        opens: Whether a changed file reaches the target.
    """
    strikable = [link for link in links if link.reason.place in able]
    found: dict[str, None] = {}
    for change in chain(_states(machine, links), _strikes(machine, strikable)):
        if change.words not in found and opens(change.machine):
            found[change.words] = None
            if len(found) == MOST_NAMED:
                break
    return list(found)


def _states(machine: Machine, links: Sequence[CircleLink]) -> Iterator[_Change]:
    """A state that a part waited for lacks, and the one relation asking for no more than that."""
    for link in links:
        part = link.waited_for.part
        if part is None or link.waited_for.kind not in REACHES or not isinstance(link.reason.kind, Relation):
            continue
        place = link.reason.place
        lacking = [state for state in (State.LOOSE, State.ASIDE) if state not in machine.parts[part].states()]
        for state in lacking[:1]:  # a state with nothing to undo is the same try for both
            verb = "swung" if state is State.LOOSE else "moved"
            yield _Change(
                f"is {part!r} free to be {verb} aside? give it `{state.word}` and ask only for "
                f"`{{{part}: {state.word}}}` at {place}",
                _with_state(machine, place, part, state),
            )


def _strikes(machine: Machine, links: Sequence[CircleLink]) -> Iterator[_Change]:
    """One relation struck out."""
    for link in links:
        reason = link.reason
        if isinstance(reason.kind, Relation):
            changed = _with_needs(machine, partial(_struck, reason.place))
        elif reason.kind is Because.CRACK:
            changed = _without_crack(machine, reason.place)
        else:
            continue
        yield _Change(f"is it so that {reason.text}? strike that out at {reason.place}", changed)


def _struck(place: Place, need: Need) -> Need | None:
    return None if need.place == place else need


def _with_state(machine: Machine, place: Place, part: str, state: State) -> Machine:
    """The machine whose ``part`` has ``state``, with nothing to undo for it; ``place`` asks for no more."""

    def eased(need: Need) -> Need:
        if need.place != place:
            return need
        atoms = (Atom(part, state) if a.part == part and a.joint is None else a for a in need.any_of)
        return replace(need, any_of=tuple(atoms))

    changed = _with_needs(machine, eased)
    freedom = Freedom((), Fraction(0), place)
    old = changed.parts[part]
    new = replace(old, loose=freedom) if state is State.LOOSE else replace(old, aside=freedom)
    return replace(changed, parts={**changed.parts, part: new})


def _with_needs(machine: Machine, changed: Callable[[Need], Need | None]) -> Machine:
    """The machine with each need as ``changed`` has it; None strikes it out."""

    def needs(old: tuple[Need, ...]) -> tuple[Need, ...]:
        return tuple(new for need in old if (new := changed(need)) is not None)

    def untouched(part: Part) -> bool:  # nearly all are, and a machine has many
        return all(changed(need) is need for need in part.all_waits)

    parts = {
        name: part
        if untouched(part)
        else replace(
            part,
            joints={key: replace(joint, waits=needs(joint.waits)) for key, joint in part.joints.items()},
            waits=needs(part.waits),
        )
        for name, part in machine.parts.items()
    }
    tasks = {name: replace(task, waits=needs(task.waits)) for name, task in machine.tasks.items()}
    fluids = {
        name: replace(fluid, drain=replace(fluid.drain, waits=needs(fluid.drain.waits)))
        for name, fluid in machine.fluids.items()
    }
    return replace(machine, parts=parts, tasks=tasks, fluids=fluids)


def _without_crack(machine: Machine, place: Place) -> Machine:
    """The machine without the crack that is written at ``place``."""
    parts = {
        name: replace(
            part,
            joints={
                key: replace(joint, crack=None) if joint.crack and joint.crack.place == place else joint
                for key, joint in part.joints.items()
            },
        )
        for name, part in machine.parts.items()
    }
    return replace(machine, parts=parts)
