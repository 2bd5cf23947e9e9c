"""The job's own copy of its machine file: looked at, brought to what the journal says, told from it if lost.

The event is there first, the file follows: a program that dies between the two leaves the file behind, and
whoever looks next mends that. Whoever writes the file holds the journal's pen, so that of a page and a
terminal only one does so at a time.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from pathlib import Path, PurePath

from sequencer.errors import SequencerError
from sequencer.job.journal.edits import MachineFile, as_told
from sequencer.job.journal.events import Event, EventKind
from sequencer.job.journal.replay import Replay
from sequencer.job.now.acts import By
from sequencer.job.now.moment import Sight
from sequencer.machine.faults import MachineFileError
from sequencer.machine.model import Machine

RESTORE = "sequencer restore"
"""The command that puts the journal's copy in the file's place."""

_BACK = f"put this job's copy of the machine file back: {RESTORE}"


class Copy:
    """The copy ``file``. Not safe for several threads: the desk sees to it that one uses it at a time."""

    def __init__(self, file: MachineFile) -> None:
        self.file = file
        self.path = file.path
        self._sight: Sight | None = None
        self._stamped: tuple[tuple[int, int], str] | None = None
        self._settled: tuple[int, str] | None = None
        self._told: tuple[int, str, Sight] | None = None

    def look(self) -> Sight:
        """The machine as the file says it now, read anew when the file has changed.

        Raises:
            SequencerError: The file is not there, or can't be read.
            MachineFileError: It has faults.
        """
        try:
            digest = self._digest()
            if self._sight is None or self._sight.digest != digest:
                self._sight = Sight(_load(self.file), digest)
        except OSError as fault:
            raise SequencerError(f"{self.file.name} can't be read: {fault.strerror}", _BACK) from fault
        return self._sight

    def unfit(self, fault: SequencerError) -> SequencerError:
        """What is wrong with a file that can be read, and lacks what the job is for."""
        lost = fault.facts.get("lacks", "a part")
        return SequencerError(f"it has lost what this job is for, {lost}", _BACK, at=PurePath(self.file.name))

    def _digest(self) -> str:
        """The digest of the file as it is now; it is read anew when its stamp has changed."""
        about = self.path.stat()
        stamp = (about.st_mtime_ns, about.st_size)
        if self._stamped is None or self._stamped[0] != stamp:
            self._stamped = (stamp, digest_of(self.path.read_bytes()))
        return self._stamped[1]

    def last_good(self, replay: Replay, fault: SequencerError) -> Sight:
        """The machine as the journal tells it, with a word on why the file does not serve.

        Raises:
            SequencerError: The journal tells none: ``fault``, which is the file's.
        """
        if self._told is None or self._told[:2] != (replay.seq, str(fault)):
            content = self.told(replay)
            if content is None:
                raise fault
            self._told = (replay.seq, str(fault), self._as_last_good(content, fault))
        return self._told[2]

    def told(self, replay: Replay) -> bytes | None:
        """The file as the journal tells it; None: the job was begun by a program that did not keep it."""
        if replay.text is None:
            return None
        return as_told(self.file, replay.text.encode(), replay.changes)[0]

    def due(self, replay: Replay) -> bytes | None:
        """What the file is to say, where a change that was made has not reached it; None: nothing else.

        A file that somebody has changed by hand since keeps that; it only gets what it lacks.

        Raises:
            MachineFileError: It has faults, or would have them with that; it stays as it is.
            EditError: What is to be changed is not there any more.
        """
        try:
            at = (replay.seq, self._digest())
            if self._settled == at:
                return None
            changes = replay.changes
            if changes and replay.file != at[1]:
                before = self.path.read_bytes()
                content, reading = as_told(self.file, before, changes)
                if content != before:
                    if reading.machine is None:
                        raise MachineFileError(reading.faults)
                    return content
            self._settled = at
        except OSError:
            pass
        return None

    def after(self, changes: Sequence[tuple[Event, bool]]) -> tuple[Sight, bytes]:
        """The machine as the file has it once these changes are in it, and the whole file.

        Raises:
            MachineFileError: It would have faults with them.
        """
        content, reading = as_told(self.file, self.path.read_bytes(), changes)
        if reading.machine is None:
            raise MachineFileError(reading.faults)
        return Sight(reading.machine, digest_of(content)), content

    def put(self, content: bytes) -> None:
        """Put the file in its place, by whoever holds the pen."""
        from sequencer.machine.edit import replace_file

        replace_file(self.path, content, self.file.name)

    def kept(self, replay: Replay, sight: Sight, by: By, identity: str) -> list[Event]:
        """The file for the journal, where that does not have it as it was seen, and it is still so."""
        if sight.word or (replay.text is not None and replay.file == sight.digest):
            return []
        own = str(uuid.uuid5(uuid.UUID(identity), "machine"))
        made = machine_event(self.path.read_bytes(), by, own)
        return [made] if made.body["file"] == sight.digest else []

    def restore(self, replay: Replay) -> tuple[str, ...]:
        """Put the journal's copy in the file's place, by whoever holds the pen; says what was done.

        Raises:
            SequencerError: The journal has none, or the file can't be written.
        """
        from sequencer.machine.edit import replace_file

        content = self.told(replay)
        if content is None:
            raise SequencerError(
                "the journal of this job was begun without a copy of the machine file",
                f"copy the file that the job began with to {self.file.name}",
            )
        there = self.path.read_bytes() if self.path.is_file() else None
        if there == content:
            return (f"the file is as the journal has it, {self.path.name}: nothing was changed",)
        words = [f"the machine file is again as the journal has it: {self.path.name}"]
        if there is not None:
            aside = self._free_place()
            replace_file(aside, there)
            words.append(f"what stood there is kept as {aside.name}")
        self.put(content)
        return tuple(words)

    def _free_place(self) -> Path:
        names = (self.path.with_name(f"{self.path.stem}.replaced-{n}{self.path.suffix}") for n in count(1))
        return next(place for place in names if not place.exists())

    def _as_last_good(self, content: bytes, fault: SequencerError) -> Sight:
        from sequencer.machine.reading import read_text

        reading = read_text(content.decode(), self.file.name, self.path.parent)
        if reading.machine is None:
            raise fault
        return Sight(reading.machine, digest_of(content), _word(fault))


def _word(fault: SequencerError) -> str:
    """Why the file does not serve, without the way to it on this disk: a phone may read it."""
    why = "can't be used" if fault.at is None else f"can't be used: {fault.problem}"
    if isinstance(fault, MachineFileError):
        first = next(one for one in fault.faults if one.severity == "error")
        why = f"has a fault in line {first.place.line}: {first.told}"
    return f"this is told from the journal's copy: the job's machine file {why}; {RESTORE} puts the copy back"


def digest_of(content: bytes) -> str:
    """The digest by which events name a state of the file."""
    return hashlib.sha256(content).hexdigest()


def machine_event(content: bytes, by: By, identity: str | None = None) -> Event:
    """The event that keeps a machine file in the journal."""
    made = Event(
        EventKind.MACHINE, {"text": content.decode(), "file": digest_of(content)}, by.person, by.device
    )
    return replace(made, id=identity or made.id, time=by.time or made.time)


def _load(file: MachineFile) -> Machine:
    from sequencer.machine.reading import load

    return load(file.path, file.name)
