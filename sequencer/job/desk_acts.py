"""What a person or a page says to a job: each act a method, all of them written by one."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from sequencer.job.journal.edits import MachineFile
from sequencer.job.journal.folder import JobFolder
from sequencer.job.now import acts
from sequencer.job.now.acts import Act, By, Outcome
from sequencer.job.now.choosing import Selection
from sequencer.job.now.closing import TypedReading
from sequencer.job.now.moment import Moment
from sequencer.job.work import ticking, undoing

if TYPE_CHECKING:
    from sequencer.job.changes.finds import Find
    from sequencer.job.evenings.stopping import MadeSafe
    from sequencer.torque.wrenches.toolbox import Toolbox


class Acts(ABC):
    """The acts of a job; a desk writes them."""

    folder: JobFolder
    by: By

    @property
    @abstractmethod
    def file(self) -> MachineFile:
        """The job's own copy of the machine file."""

    @abstractmethod
    def moment(self) -> Moment:
        """What is so now."""

    @abstractmethod
    def write(self, act: Act, by: By | None = None, *, on_words: bool = False) -> Outcome:
        """Judge an act against what is so now, and keep it."""

    def done(
        self,
        selection: Selection | None = None,
        *,
        torque: str | None = None,
        angle: str | None = None,
        wear: str | None = None,
        wrench: str | None = None,
        fasteners: str | None = None,
        stages: str | None = None,
        source: str | None = None,
        anyway: str | None = None,
        prepared: Sequence[str] | bool = (),
        by: By | None = None,
    ) -> Outcome:
        """Tick steps; without a selection the whole station that comes next.

        A step that was ticked already stays as it is, and that is said. ``anyway`` is the reason for which a
        step was done although the file says that it can't be. A reading at a gate was taken with ``wrench``
        (left out: the one that the toolbox suggests), is for these ``fasteners`` (``all``, ``1-4``; one alone
        needs no word) and ``stages`` (left out, the next). The gate is ticked once nothing is lacking. One
        that does not hold is kept. Where nobody had said the torque, ``source`` says where it is from.
        ``prepared`` holds what is ticked of bench lists, or is True for all.

        Raises:
            RefusedError: The machine does not allow one of them now; none is ticked then.
            ChoiceError: The plan has no such step.
        """
        box = self.toolbox() if torque else None
        ticked = prepared if isinstance(prepared, bool) else tuple(prepared)
        told = TypedReading(torque, angle, wear, wrench, fasteners, stages, source, self.file, box, ticked)
        return self.write(ticking.done(selection, told, anyway), by)

    def toolbox(self) -> Toolbox | None:
        """The person's toolbox, where the job names one; a ``ToolboxError`` where its file has faults."""
        from sequencer.plan.closing.toolbox import load_toolbox

        path = self.folder.toolbox
        return load_toolbox(path, self.folder.called(path)) if path else None

    def skip(self, selection: Selection, why: str, *, by: By | None = None) -> Outcome:
        """Leave steps out, as the machine stands without need of them; they count as clear from here on."""
        return self.write(ticking.skip(selection, why), by)

    def undo(self, which: str | int | None = None, *, by: By | None = None) -> Outcome:
        """Take back this device's last act, the event of an id (its first characters do), or a step's tick.

        Raises:
            RefusedError: Something that was done later rests on it, or there is nothing to take back.
        """
        return self.write(undoing.undo(which), by)

    def note(self, text: str, step: Selection | None = None, *, by: By | None = None) -> Outcome:
        """Keep a note, about a step or about the job."""
        return self.write(acts.note(text, step), by, on_words=True)

    def measured(self, step: Selection, readings: Mapping[str, str], *, by: By | None = None) -> Outcome:
        """Keep a reading at a step: ``torque`` with its unit, ``angle``, ``wear``."""
        return self.write(acts.measured(step, readings), by)

    def photo(
        self, step: Selection | None, content: bytes, text: str = "", *, by: By | None = None
    ) -> Outcome:
        """Keep a photo of a step (or of the job), made small and stripped of place, time and device."""
        from sequencer.job.now.photos import keep_photo

        by = by or self.by
        identity = acts.identity_of(by)
        acts.step_of(self.moment(), step)
        file = keep_photo(self.folder.photos, identity, content)
        own = By(by.person, by.device, by.time, identity)
        return self.write(acts.photo(step, file, text), own, on_words=True)

    def found(
        self, find: Find, on: date, reshuffle: Fraction | None = None, *, by: By | None = None
    ) -> Outcome:
        """Add what was found to this job's machine file, and plan the rest anew.

        Raises:
            RefusedError: It names what the machine does not have, or says nothing new.
            SequencerError: With it a target can't be reached any more: it says why, and nothing is written.
        """
        from sequencer.job.changes.finds import found

        return self.write(found(find, self.file, on, *_given(reshuffle)), by)

    def did(self, line: str, *, before_now: bool = False, by: By | None = None) -> Outcome:
        """Tell what was done, in a line of plain speech: into the machine file, ticks and the plan.

        ``before_now``: it was done before what was told so far, and is told from memory. What can't be read
        is kept as a note.

        Raises:
            RefusedError: The line is empty, or puts right what cannot be told anew any more.
        """
        from sequencer.job.told.telling import did

        return self.write(did(line, self.file, before_now=before_now), by)

    def answer(self, text: str, *, asked_by: str | None = None, by: By | None = None) -> Outcome:
        """Answer the question that the last line left; ``asked_by``: that of this event and of no other.

        Raises:
            RefusedError: Nothing was asked, or something was told since.
        """
        from sequencer.job.told.telling import answer

        return self.write(answer(text, self.file, asked_by), by)

    def looked(
        self, part: str, with_: str = "eye", showed: str | None = None, *, by: By | None = None
    ) -> Outcome:
        """Keep a look at a part, ``with_`` an eye, a mirror, a borescope or a hand, and what it ``showed``.

        Raises:
            RefusedError: There is no such part, or nobody looks by that.
        """
        return self.write(acts.looked(part, with_, showed), by)

    def trouble(
        self,
        joint: str,
        state: str,
        on: date,
        *,
        way: str | None = None,
        count: int = 1,
        reshuffle: Fraction | None = None,
        by: By | None = None,
    ) -> Outcome:
        """A joint is ``seized``, ``broken`` …: put the next usual way out into the plan.

        Raises:
            RefusedError: There is no such joint, or no way is left.
        """
        from sequencer.job.changes.troubled import trouble

        act = trouble(joint, state, self.file, on, *_given(reshuffle), way=way, count=count)
        return self.write(act, by)

    def correct(
        self,
        where: str,
        values: Mapping[str, str],
        reshuffle: Fraction | None = None,
        *,
        by: By | None = None,
    ) -> Outcome:
        """Put right what the file says of a part or joint: ``{"head": "E12"}``.

        Raises:
            RefusedError: There is no such part, joint or key, or it says nothing new.
            MachineFileError: The file does not take such a value; nothing is written.
        """
        from sequencer.job.changes.correcting import correct

        return self.write(correct(where, values, self.file, *_given(reshuffle)), by)

    def also(
        self,
        off: Sequence[str],
        reach: Sequence[str] = (),
        reshuffle: Fraction | None = None,
        *,
        by: By | None = None,
    ) -> Outcome:
        """Targets that come in the middle of the job."""
        from sequencer.job.turning import also

        return self.write(also(off, reach, self.file, *_given(reshuffle)), by)

    def turn(self, *, apart: bool = False, by: By | None = None) -> Outcome:
        """Begin the reassembly, or (``apart``) take apart again."""
        from sequencer.job import turning

        return self.write(turning.apart() if apart else turning.turn(self.file), by)

    def evening(
        self,
        time: str | None = None,
        until: str | None = None,
        chance: float | None = None,
        *,
        by: By | None = None,
    ) -> Outcome:
        """Say until when you work tonight; it touches no clock.

        Raises:
            SequencerError: How long that is can't be told.
        """
        from sequencer.job.evenings import tonight

        return self.write(tonight.say(time, until, chance), by, on_words=True)

    def stop(
        self, why: str = "", way: MadeSafe | None = None, seen: Sequence[str] = (), *, by: By | None = None
    ) -> Outcome:
        """Stop the clock; what can't be left so is recorded with it.

        ``way``: it was made safe first, as ``way_out`` offers it: some was put back, or work went on to the
        next place. ``seen`` are the operations that were offered, where somebody has seen them.

        Raises:
            RefusedError: There is no such way, or it is another by now.
        """
        from sequencer.job.evenings import stopping

        return self.write(stopping.stop(why, way, seen), by, on_words=way is None)

    def resume(self, *, by: By | None = None) -> Outcome:
        """Start the clock, or go on after a stop."""
        return self.write(acts.resume(), by, on_words=True)


def _given(reshuffle: Fraction | None) -> tuple[Fraction, ...]:
    return () if reshuffle is None else (reshuffle,)
