"""What is known of a machine that is like a type: what was confirmed, what is otherwise, what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from sequencer.errors import SequencerError
from sequencer.graph import Target, parse_targets
from sequencer.machine import MachineFileError, read_text
from sequencer.machine.called import joint_label, part_label
from sequencer.machine.model import Machine, Subject
from sequencer.machine.survey import AnswerError
from sequencer.plan.like.type_source import TypeFile
from sequencer.plan.like.worth_asking import AskingWorth

ASKED = ("there", "way", "fasteners", "elsewhere")
"""What is asked of: whether parts are there, what else is in their way, which fasteners, from where."""

JOIN = "+"
"""Between the things of a question in its name."""


@dataclass
class Alike:
    """A machine that is like a type but for what was said.

    Attributes:
        type: The type.
        off: What is wanted off, as ``--off`` takes it.
        text: The type's text with what is otherwise in it.
        settled: By what is asked, the things of which it was answered.
        confirmed: Parts and joints of which it was said how they are.
        split: Questions that were too much at once, in smaller pieces: what is asked, and of what.
        follows: Questions that an answer brought up, by name; with what they need to know.
        later: Questions about one thing that were put off.
        own: Parts and joints that the type has not got.
        answers: How many were given.
    """

    type: TypeFile
    off: tuple[str, ...] = ()
    text: str = ""
    settled: dict[str, dict[str, None]] = field(default_factory=lambda: {kind: {} for kind in ASKED})
    confirmed: dict[str, None] = field(default_factory=dict)
    split: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    follows: dict[str, tuple[str, ...]] = field(default_factory=dict)
    later: dict[str, None] = field(default_factory=dict)
    own: dict[str, None] = field(default_factory=dict)
    answers: int = 0

    def __deepcopy__(self, memo: object) -> Alike:
        """A copy with lists of its own: what is never changed is shared."""
        return replace(
            self,
            settled={kind: dict(things) for kind, things in self.settled.items()},
            confirmed=dict(self.confirmed),
            split=list(self.split),
            follows=dict(self.follows),
            later=dict(self.later),
            own=dict(self.own),
        )

    @property
    def machine(self) -> Machine:
        """The machine as it is known so far."""
        return _read(self.text)

    @property
    def targets(self) -> tuple[Target, ...]:
        """What is wanted off."""
        return parse_targets(self.machine, self.off)

    @property
    def worth(self) -> AskingWorth:
        """What asking is worth now."""
        return _worth(self.text, self.off)

    def rewritten(self, text: str) -> None:
        """Take the text of another machine.

        Raises:
            AnswerError: It has a fault, or what is wanted off can't be reached in it.
        """
        reading = read_text(text, "the machine")
        wrong = next((fault for fault in reading.faults if fault.severity == "error"), None)
        if wrong is not None:
            raise AnswerError(wrong.problem, wrong.remedy)
        try:
            _worth(text, self.off)
        except SequencerError as why:
            raise AnswerError(why.problem, "say it another way, or answer `as in the type`") from why
        self.text = text

    def settle(self, kind: str, things: Sequence[str]) -> None:
        """What is asked was answered of these things."""
        self.settled[kind].update(dict.fromkeys(things))
        if kind == "fasteners":
            self.confirmed.update(dict.fromkeys(things))
        ready = [
            name
            for name in self.settled["way"]
            if (name in self.settled["there"] or name in self.worth.wanted) and name in self.machine.parts
        ]
        self.confirmed.update(dict.fromkeys(ready))

    @property
    def unsure(self) -> list[str]:
        """Parts and joints that are as in the type and that nobody confirmed, in the order of the file."""
        names = (
            one
            for part in self.machine.parts.values()
            for one in (part.name, *(joint.path for joint in part.joints.values()))
        )
        return [one for one in names if one not in self.confirmed and one not in self.own]

    def label(self, name: str) -> str:
        """What a part, or a joint with its part, is called."""
        if Subject(name).joint:
            return joint_label(self.machine, self.machine.joint_at(name))
        return part_label(self.machine.parts[name])

    def there(self, name: str) -> bool:
        """Whether the machine has a part or joint, as far as is known."""
        return name in self.machine.parts or self.machine.own_joint(name) is not None


@lru_cache(maxsize=64)
def _read(text: str) -> Machine:
    reading = read_text(text, "the machine")
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    return reading.machine


@lru_cache(maxsize=64)
def _worth(text: str, off: tuple[str, ...]) -> AskingWorth:
    machine = _read(text)
    return AskingWorth(machine, parse_targets(machine, off))
