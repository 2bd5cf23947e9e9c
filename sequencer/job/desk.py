"""The desk of a job: all that a person or a page says to it, and all that it answers.

Every change is judged against the state at that very moment, inside the journal's transaction, and is there
as a whole or not at all. What it comes to is said in a few words; what can't be is a ``RefusedError``.
"""

from __future__ import annotations

import hashlib
import threading
import uuid
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.errors import SequencerError
from sequencer.job import acts, undoing
from sequencer.job.acts import Act, By, Draft, RefusedError, Said
from sequencer.job.choosing import Selection
from sequencer.job.closing import Told
from sequencer.job.edits import EDITS, as_told, brought_up, from_here
from sequencer.job.events import PLANNED, TOLD, Event, EventKind, Recorded
from sequencer.job.folder import JobFolder, find_job
from sequencer.job.moment import Moment, Sight
from sequencer.job.replay import Replay
from sequencer.job.state import ALONG, JobState
from sequencer.machine.faults import MachineFileError
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Station

if TYPE_CHECKING:
    from sequencer.job.finding import Find
    from sequencer.torque.toolbox import Toolbox

__all__ = ["By", "Desk", "RefusedError", "Said"]


class Desk:
    """A job that is open. One desk serves all threads of a process."""

    def __init__(self, folder: JobFolder, by: By = By()) -> None:  # noqa: B008 - frozen
        self.folder = folder
        self.by = by
        self._journal = folder.journal()
        self._replay = Replay()
        self._lock = threading.Lock()
        self._file_lock = threading.Lock()
        self._sight: tuple[tuple[int, int], Sight] | None = None
        self._moment: Moment | None = None
        self._followed: tuple[int, str] | None = None

    @classmethod
    def open(cls, folder: Path | None = None, by: By = By()) -> Desk:  # noqa: B008 - frozen
        """The job that ``folder`` (or the working folder) lies in.

        Raises:
            NoJobError: There is no job.
            JournalError: Its journal can't be read.
            MachineFileError: ``job.yaml`` has faults.
        """
        return cls(find_job(folder), by)

    def close(self) -> None:
        """Let go of the journal."""
        self._journal.close()

    # ---- What is so ----

    def state(self) -> JobState:
        """The state after the last event in the journal."""
        with self._lock:
            self._replay.take(self._journal.since(self._replay.seq))
            return self._replay.state()

    def moment(self) -> Moment:
        """The job as it is now: state, machine, plan.

        A machine file that was changed by hand may leave a plan that can't be done: it is planned anew first.
        """
        moment = self._at(self.state())
        if moment.workable:
            return moment
        self.write(_nothing, By())
        return self._at(self.state())

    def plan(self) -> Plan:
        """What is left to do, under the numbers that the person knows."""
        return self.moment().plan

    def station(self) -> Station | None:
        """The station that comes next; None when all is done."""
        return self.moment().station

    def log(self) -> Sequence[Recorded]:
        """Every event in the journal, those that were taken back included."""
        self.state()
        with self._lock:
            return tuple(self._replay.events)

    @property
    def machine(self) -> Machine:
        """The machine as this job's copy of its file says it now.

        Raises:
            MachineFileError: The file has faults.
        """
        return self._look().machine

    # ---- What happens ----

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
        anyway: str | None = None,
        by: By | None = None,
    ) -> Said:
        """Tick steps; without a selection the whole station that comes next.

        A step that was ticked already stays as it is, and that is said. ``anyway`` is the reason for which a
        step was done although the machine file says that it can't be.

        A reading at a torque gate was taken with ``wrench`` (left out: the one that the toolbox suggests), is
        for these ``fasteners`` (``all``, ``1-4``; one alone needs no word) and ``stages`` (``all``, ``2``;
        left out, the next). The gate is ticked once nothing is lacking. One that does not hold is kept.

        Raises:
            RefusedError: The machine does not allow one of them now; none is ticked then.
            ChoiceError: There is no such step.
        """
        box = self.toolbox() if torque else None
        told = Told(torque, angle, wear, wrench, fasteners, stages, box)
        return self.write(acts.done(selection, told, anyway), by)

    def toolbox(self) -> Toolbox | None:
        """The person's toolbox, where the job names one.

        Raises:
            ToolboxError: The file has faults.
        """
        from sequencer.plan.toolbox import load_toolbox

        path = self.folder.toolbox
        return load_toolbox(path) if path else None

    def skip(self, selection: Selection, why: str, *, by: By | None = None) -> Said:
        """Leave steps out, as the machine stands without need of them; they count as clear from here on."""
        return self.write(acts.skip(selection, why), by)

    def undo(self, which: str | int | None = None, *, by: By | None = None) -> Said:
        """Take back this device's last act, the event of an id (its first characters do), or a step's tick.

        Raises:
            RefusedError: Something that was done later rests on it, or there is nothing to take back.
        """
        return self.write(undoing.undo(which), by)

    def note(self, text: str, step: Selection | None = None, *, by: By | None = None) -> Said:
        """Keep a note, about a step or about the job."""
        return self.write(acts.note(text, step), by)

    def measured(self, step: Selection, readings: Mapping[str, str], *, by: By | None = None) -> Said:
        """Keep a reading at a step: ``torque`` with its unit, ``angle``, ``wear``."""
        return self.write(acts.measured(step, readings), by)

    def photo(self, step: Selection | None, content: bytes, text: str = "", *, by: By | None = None) -> Said:
        """Keep a photo of a step (or of the job), made small and stripped of place, time and device."""
        from sequencer.job.photos import keep_photo

        by = by or self.by
        identity = acts.identity_of(by)
        acts.step_of(self.moment(), step)
        file = keep_photo(self.folder.photos, identity, content)
        return self.write(acts.photo(step, file, text), By(by.person, by.device, by.time, identity))

    def found(self, find: Find, on: date, reshuffle: Fraction | None = None, *, by: By | None = None) -> Said:
        """Add what was found to this job's machine file, and plan the rest anew.

        Raises:
            RefusedError: It names what the machine does not have, or says nothing new.
            SequencerError: With it a target can't be reached any more: it says why, and nothing is written.
        """
        from sequencer.job.finding import found

        return self.write(found(find, self.folder.machine, on, *_given(reshuffle)), by)

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
    ) -> Said:
        """A joint is ``seized``, ``broken`` …: put the next usual way out into the plan.

        Raises:
            RefusedError: There is no such joint, or no way is left.
        """
        from sequencer.job.troubled import trouble
        from sequencer.plan.resume import RESHUFFLE_SECONDS

        saves = RESHUFFLE_SECONDS if reshuffle is None else reshuffle
        act = trouble(joint, state, self.folder.machine, on, way=way, count=count, reshuffle=saves)
        return self.write(act, by)

    def also(
        self,
        off: Sequence[str],
        reach: Sequence[str] = (),
        reshuffle: Fraction | None = None,
        *,
        by: By | None = None,
    ) -> Said:
        """Targets that come in the middle of the job."""
        from sequencer.job.turning import also

        return self.write(also(off, reach, *_given(reshuffle)), by)

    def turn(self, *, apart: bool = False, by: By | None = None) -> Said:
        """Begin the reassembly, or (``apart``) take apart again."""
        from sequencer.job import turning

        return self.write(turning.apart() if apart else turning.turn(), by)

    def stop(self, why: str = "", *, by: By | None = None) -> Said:
        """Stop the clock, and say in what state the machine is left."""
        return self.write(acts.stop(why), by)

    def resume(self, *, by: By | None = None) -> Said:
        """Start the clock, or go on after a stop."""
        return self.write(acts.resume(), by)

    def write(self, act: Act, by: By | None = None) -> Said:
        """Do ``act`` against the state at this moment: its events are all in the journal afterwards, or none.

        An act whose id is in the journal already is not done again: what it came to then is the answer.
        """
        by = by or self.by
        identity = acts.identity_of(by)
        sight = self._look()  # reading the file takes a while: not while others wait for the pen
        with self._lock, self._journal.writing() as pen:
            self._replay.take(pen.since(self._replay.seq))
            before = self._replay.state()
            if identity in pen.known([identity]):
                self._refuse_again(identity)
                return Said((identity,), ("this has been recorded already",), repeated=True)
            draft = act(self._at(before), by)
            time = by.time or datetime.now(UTC)
            if any(kind in PLANNED for kind, _ in draft.events) or not draft.events:
                self._keep_workable(draft, self._replay.ahead(_events(draft, by, identity, time)))
            made = _events(draft, by, identity, time)
            pen.add(made)
        # Only now are the events on the disk: what they say may be followed.
        self.state()
        self._put(draft.content, sight)
        self._follow()
        if draft.refusal is not None:
            raise draft.refusal
        return self._said(draft, made, before)

    # ---- Inside ----

    def _refuse_again(self, identity: str) -> None:
        """An act that was refused, and is said once more: what was kept of it made nothing of it then."""
        one = next((one.event for one in self._replay.events if one.event.id == identity), None)
        if one is not None and one.kind is EventKind.MEASURED and one.body.get("problem"):
            raise RefusedError(
                f"the gate stays open: {one.body['problem']}",
                "the reading is in the record",
                code="gate-open",
            )

    def _said(self, draft: Draft, made: Sequence[Event], before: JobState) -> Said:
        after = self.state()
        fresh = after.backward[len(before.backward) :]
        clocks = (
            f"the clock of {gone.device or 'this device'} went back by {gone.seconds:.0f} s: "
            "the time since its last event is not counted"
            for gone in fresh
        )
        words = (*draft.words, *_gone(draft, before, after), *clocks)
        return Said(tuple(event.id for event in made), words, draft.ops)

    def _put(self, content: bytes | None, sight: Sight) -> None:
        """The machine file as an act has made it, if it is still the one that the act saw."""
        if content is not None and self._look().digest == sight.digest:
            from sequencer.machine.edit import replace_file

            replace_file(self.folder.machine, content)

    def _keep_workable(self, draft: Draft, ahead: Replay) -> None:
        """Plan anew in the same breath where an act leaves an order that can't be done."""
        after = Moment(self.folder.card, self._sight_after(draft, ahead), ahead.state())
        if after.state.steps and (draft.anew or not after.workable):
            from sequencer.job.replanning import keep_workable

            keep_workable(draft, after)

    def _sight_after(self, draft: Draft, ahead: Replay) -> Sight:
        """The machine as it will be: an act that takes a change back takes it out of the file, too."""
        sight = draft.sight or self._look()
        if draft.sight is None and (changes := _changes(ahead)) != _changes(self._replay):
            path = self.folder.machine
            content, reading = as_told(path, path.read_bytes(), changes)
            if reading.machine is None:
                raise MachineFileError(reading.faults)
            draft.content = content
            sight = Sight(reading.machine, hashlib.sha256(content).hexdigest())
        return sight

    def _follow(self) -> None:
        """Bring the machine file to what the journal says, where a change has not reached it.

        The event is there first: a program that dies between the two leaves the file behind, and this mends
        it. A file that somebody has changed by hand since keeps that; it only gets what it lacks.
        """
        with self._file_lock:
            sight = self._look()
            carrying = _changes(self._replay)
            at = (self._replay.seq, sight.digest)
            if not carrying or self._followed == at or self._replay.file == sight.digest:
                return
            brought_up(self.folder.machine, carrying)
            self._followed = (self._replay.seq, self._look().digest)

    def _at(self, state: JobState) -> Moment:
        self._follow()
        sight = self._look()
        known = self._moment
        if known is None or known.state is not state or known.sight is not sight:
            self._moment = known = Moment(self.folder.card, sight, state)
        return known

    def _look(self) -> Sight:
        """The machine, read anew when its file has changed."""
        path = self.folder.machine
        try:
            about = path.stat()
            stamp = (about.st_mtime_ns, about.st_size)
            if self._sight is None or self._sight[0] != stamp:
                digest = hashlib.sha256(path.read_bytes()).hexdigest()
                self._sight = (stamp, Sight(_load(path), digest))
        except OSError as fault:
            raise SequencerError(
                f"{path} can't be read: {fault.strerror}", "put this job's copy of the machine file back"
            ) from fault
        return self._sight[1]


def _given(reshuffle: Fraction | None) -> tuple[Fraction, ...]:
    return () if reshuffle is None else (reshuffle,)


def _load(path: Path) -> Machine:
    from sequencer.machine.reading import load

    return load(from_here(path))


def _gone(draft: Draft, before: JobState, after: JobState) -> Iterator[str]:
    """What has left the plan by an act that does not tell its new plan line by line, or turn to another."""
    if any(kind in TOLD for kind, _ in draft.events):
        return
    left = {op for _, op in after.left}
    gone = [
        f"{number}, {op}"
        for number, op in before.left
        if op not in left and op not in after.ticks and op not in after.skipped
    ]
    if gone:
        yield f"no longer in the plan, as not needed or not possible any more: {'; '.join(gone)}"


def _nothing(_moment: Moment, _by: By) -> Draft:
    """No act at all: only the plan is seen to."""
    return Draft(at_any_rate=True)


def _changes(replay: Replay) -> list[tuple[Event, bool]]:
    """The events that change the machine file, each with whether it stands."""
    standing = replay.standing
    return [(one.event, one.event.id in standing) for one in replay.events if EDITS in one.event.body]


def _events(draft: Draft, by: By, identity: str, time: datetime) -> list[Event]:
    """The events of an act: the first has the act's own id, the others ids that follow from it."""
    made = []
    for number, (kind, body) in enumerate(draft.events):
        own = identity if number == 0 else str(uuid.uuid5(uuid.UUID(identity), str(number)))
        whole: dict[str, Any] = dict(body) if number == 0 else {**body, ALONG: identity}
        made.append(Event(kind, whole, by.person, by.device, time, own))
    return made
