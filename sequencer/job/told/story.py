"""What a line makes of the job: the machine file as it comes, what is ticked, what is noted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, Op
from sequencer.job.journal.edits import Edit, make
from sequencer.job.now.moment import Moment
from sequencer.machine.called import part_label
from sequencer.machine.edit import Editor
from sequencer.machine.faults import MachineFileError
from sequencer.machine.model import Machine, Subject
from sequencer.machine.survey.short_lines import key_of, label_of, unused

ORDER = ("taken_apart", "order")
FREE = ("taken_apart", "free")
Item = str | dict[str, str]
"""What was done, as the order has it: ``guard`` off, ``{cooler: aside}``, ``head/plug``, a fluid, a task."""


def about(item: Item) -> str:
    """The part, fluid or task that an item of the order is about."""
    return next(iter(item)) if isinstance(item, dict) else Subject(item).part


@dataclass(frozen=True)
class Ticked:
    """An operation that was done.

    Attributes:
        ahead: The operation before which it was done; empty: after all that was told so far.
        late: It is told later, from memory: its time says nothing.
    """

    op: Op
    ahead: str = ""
    late: bool = False


@dataclass
class Kept:
    """What has come of the line so far; a part of it that finds no place in the file is taken back whole."""

    edits: list[Edit] = field(default_factory=list)
    ticks: list[Ticked] = field(default_factory=list)
    notes: list[tuple[str, str]] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    back: list[str] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)
    joints: list[str] = field(default_factory=list)
    new: list[str] = field(default_factory=list)
    unplaced: list[str] = field(default_factory=list)
    bags: list[tuple[str, int]] = field(default_factory=list)


class Story:
    """The machine file under a line, act by act.

    Attributes:
        kept: The changes, ticks and notes so far; ``back`` is each act said back, ``parts`` and ``joints``
            are what was told of, ``new`` the parts that the file did not have, ``unplaced`` the torques of
            which no joint is known, ``bags`` the numbers that the person gave to joints.
        ahead: The operation before which what is told now was done.
        late: What is told now is told from memory.
        person: Who tells it.
        following: What came after it by the order, where it is told anew; None: it is the last.
    """

    def __init__(self, moment: Moment, text: str, name: str, folder: Path | None = None) -> None:
        self.moment = moment
        self.kept = Kept()
        self.ahead = ""
        self.late = False
        self.person = ""
        self.following: Item | None = None
        self._text, self._name, self._folder = text, name, folder
        self._editor = Editor(text=text, named=name, folder=folder)
        self._machine: Machine | None = moment.machine

    @property
    def machine(self) -> Machine:
        """The machine by the file as it has come so far.

        Raises:
            MachineFileError: A change has spoilt it.
        """
        if self._machine is None:
            reading = self._editor.read()
            if reading.machine is None:
                raise MachineFileError(reading.faults)
            self._machine = reading.machine
        return self._machine

    @property
    def content(self) -> bytes:
        """The file as it has come so far."""
        return self._editor.content

    @property
    def diff(self) -> str:
        """The lines that have changed."""
        return self._editor.diff()

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the editor has to say of its changes."""
        return tuple(self._editor.words)

    def value(self, *path: str) -> Any:  # noqa: ANN401 - whatever the file has there
        """What the file says there now."""
        return self._editor.value(path)

    # ---- Changes ----

    def add(self, path: tuple[str, ...], value: object) -> None:
        """Something with a name that is not there yet."""
        self._change(["add", list(path), value, None])

    def entry(self, path: tuple[str, ...], value: object) -> None:
        """One more entry of a list."""
        self._change(["entry", list(path), value, None])

    def before(self, path: tuple[str, ...], value: object, following: object) -> None:
        """An entry of a list, before another one; None: before all."""
        self._change(["before", list(path), value, following])

    def set(self, path: tuple[str, ...], value: object) -> None:
        """A value, whatever stood there before; None takes it out."""
        former = self._editor.value(path)
        if former != value:
            self._change(["set", list(path), value, former])

    def _change(self, edit: Edit) -> None:
        make(self._editor, edit)
        self.kept.edits.append(edit)
        self._machine = None

    @contextmanager
    def attempt(self) -> Iterator[None]:
        """All that is told within it is kept, or, where the file does not take it, none of it.

        Raises:
            SequencerError: It does not.
        """
        before = {name: list(value) for name, value in vars(self.kept).items()}
        try:
            yield
            _ = self.machine
        except SequencerError:
            self.kept = Kept(**before)
            self._editor = Editor(text=self._text, named=self._name, folder=self._folder)
            for edit in self.kept.edits:
                make(self._editor, edit)
            self._machine = None
            raise

    # ---- What was done ----

    def is_done(self, op: str) -> bool:
        """It was done before, or is told now."""
        present = self.moment.present
        return op in present.done or op in present.skipped or any(one.op == op for one in self.kept.ticks)

    def tick(self, op: str) -> bool:
        """It was done, if it was not before."""
        if self.is_done(op):
            return False
        self.kept.ticks.append(Ticked(Op(op), self.ahead, self.late))
        return True

    def first_of(self, name: str) -> str:
        """The first operation that was done on a part, or was a fluid's or task's; empty where none was."""
        done = (*self.moment.present.done, *(one.op for one in self.kept.ticks))
        return next((op for op in done if name in (Op(op).part, Op(op).subject)), "")

    def is_off(self, part: str) -> bool:
        """The part has come off."""
        return self.is_done(Kind.REMOVE.of(part))

    def note(self, text: str, op: str = "") -> None:
        """A note on a step, or on the job."""
        self.kept.notes.append((op, text))

    # ---- Things with names ----

    def labels(self) -> dict[str, str]:
        """What every part is called, by its key."""
        return {key: part_label(part) for key, part in self.machine.parts.items()}

    def named(self, section: str, label: str, fields: Mapping[str, object]) -> str:
        """The key of a position, tool, fluid or task of that label; it is put into the file if it is new."""
        things: Mapping[str, Any] = getattr(self.machine, section)
        wanted = key_of(label)
        for name, one in things.items():
            if name == wanted or key_of(one.label or name) == wanted:
                return name
        taken = {*things, *self.machine.parts, *self.machine.tasks, *self.machine.fluids}
        name = unused(wanted or section.rstrip("s"), taken)
        self.add((section, name), {"label": label_of(label), **fields})
        return name
