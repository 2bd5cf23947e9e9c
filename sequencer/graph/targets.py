"""What a job is for: parts to take off, loosen or move aside, or only to reach."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

from sequencer.errors import SequencerError
from sequencer.graph.derive import clause_for
from sequencer.graph.kept import kept_before
from sequencer.graph.operations import Because, Clause, OperationGraph, Reason
from sequencer.machine.called import meant_joints, meant_parts, part_called
from sequencer.machine.model import Aim, Atom, Machine, State, Subject
from sequencer.wording import listing

_MOST_KNOWN = 12
"""Of a machine's parts, where a name is none of them."""


@dataclass(frozen=True)
class Target:
    """A part and how far it has to come; ``state`` None asks only that it (or ``joint``) can be reached."""

    part: str
    state: State | None = State.OFF
    joint: str | None = None

    def __str__(self) -> str:
        if self.state is None:
            return f"reach {self.text}"
        return f"{self.part} {self.state.word}"

    @property
    def text(self) -> str:
        """The target as an option takes it: ``head``, ``motor=loose``, ``pump/bolts``."""
        if self.state is None:
            return f"{self.part}/{self.joint}" if self.joint else self.part
        return self.part if self.state is State.OFF else f"{self.part}={self.state.word}"


def parse_targets(machine: Machine, off: Iterable[str], reach: Iterable[str] = ()) -> tuple[Target, ...]:
    """Read what is to come off and what is to be reached, as ``parse_off`` and ``parse_reach`` do.

    Raises:
        SequencerError: No target at all, a part or state that the machine doesn't know, or a joint.
    """
    return some(
        [*(parse_off(machine, text) for text in off), *(parse_reach(machine, text) for text in reach)]
    )


def some(targets: Iterable[Target]) -> tuple[Target, ...]:
    """The targets, each once.

    Raises:
        SequencerError: There are none.
    """
    if not (found := tuple(dict.fromkeys(targets))):
        raise SequencerError(
            "nothing to take off was named", "add --off PART, --reach PART or --job NAME", code="no-target"
        )
    return found


def goals(graph: OperationGraph, targets: Iterable[Target]) -> tuple[Clause, ...]:
    """What has to be done by the end of the job, as clauses."""
    clauses: dict[tuple[str, ...], Clause] = {}
    for target in targets:
        part = graph.machine.parts[target.part]
        if target.state is None:
            joint = part.joints[target.joint] if target.joint else None
            needs = (*part.to_reach, *(joint.waits if joint else ()))
            subject = joint.path if joint else part.name
            found = [c for need in needs if (c := clause_for(graph, need, subject))]
            found += kept_before(graph, part.name, target.joint)
        else:
            reason = Reason(Because.STATE, f"{part.name} has to be {target.state.word}", part.place)
            found = [Clause(graph.reaching(Atom(part.name, target.state)), reason)]
        for clause in found:
            clauses.setdefault(clause.any_of, clause)
    return tuple(clauses.values())


def parse_off(machine: Machine, text: str) -> Target:
    """A part, and how far it has to come: ``P``, ``P=loose``.

    It is named by its key, its label, or words that only its name has (``machine/called.py``).

    Raises:
        SequencerError: The machine has no such part, a part no such state, or it is a joint.
    """
    name, word = Subject(Aim(text).part), Aim(text).state
    if name.of_joint and name not in machine.parts:
        raise SequencerError(f"{name} is a joint", f"name the part that it holds: {name.part}")
    part = _part(machine, name)
    if word is None:
        return Target(part)
    states = {state.word: state for state in State if state is not State.FITTED}
    if word not in states:
        raise SequencerError(f"there is no state {word!r}", f"a part can be {', '.join(states)}")
    return Target(part, states[word])


def parse_reach(machine: Machine, text: str) -> Target:
    """A part or a joint that is only to be reached: ``P`` or ``P/J``.

    Raises:
        SequencerError: The machine has no such part or joint.
    """
    named = Subject(text)
    if not named.of_joint:
        return _reached(machine, text.strip())
    part, joint = _part(machine, named.part.strip()), named.joint.strip()
    joints = machine.parts[part].joints
    meant = meant_joints(machine, f"{part}/{joint}")
    if len(meant) == 1:
        joint = Subject(meant[0]).joint
    if joint not in joints:
        near = difflib.get_close_matches(joint, joints, n=1, cutoff=0.5)
        known = f"its joints are {', '.join(joints)}" if joints else "it has none"
        raise SequencerError(
            f"{part} has no joint {joint!r}",
            f"did you mean {near[0]}?" if near else known,
            lacks=f"joint {part}/{joint}",
        )
    return Target(part, None, joint)


def _reached(machine: Machine, name: str) -> Target:
    """A part, or a joint by its own words: ``cover bolts``."""
    if not meant_parts(machine, name) and len(joints := meant_joints(machine, name)) == 1:
        meant = Subject(joints[0])
        return Target(meant.part, None, meant.joint)
    return Target(_part(machine, name), None)


def _part(machine: Machine, text: str) -> str:
    name = text.strip()
    if meant_parts(machine, name):
        return part_called(machine, name)
    near = difflib.get_close_matches(name, machine.parts, n=1, cutoff=0.5)
    if near:
        remedy = f"did you mean {near[0]}?"
    else:
        remedy = (
            f"its parts are {listing(machine.parts, _MOST_KNOWN)}"
            if machine.parts
            else "the file lists no parts"
        )
    raise SequencerError(f"{machine.file} has no part {name!r}", remedy, lacks=f"part {name}")
