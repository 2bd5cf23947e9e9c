"""The desk of a job: all that a person or a page says to it, and all that it answers.

Every change is judged against the state at that very moment, inside the journal's transaction, and is there
as a whole or not at all. What it comes to is said in a few words; what can't be is a ``RefusedError``.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Self

from sequencer.errors import SequencerError
from sequencer.job.changes.machine_copy import Copy
from sequencer.job.desk_acts import Acts
from sequencer.job.drafted import events_of, refuse_again, said_of, to_keep
from sequencer.job.journal.edits import MachineFile
from sequencer.job.journal.events import PLANNED, Recorded
from sequencer.job.journal.folder import JobFolder, find_job
from sequencer.job.journal.replay import Replay
from sequencer.job.journal.state import JobState
from sequencer.job.now import acts
from sequencer.job.now.acts import Act, By, Draft, Outcome, RefusedError
from sequencer.job.now.moment import Moment, Sight
from sequencer.job.work.clock import by_our_clock
from sequencer.job.work.undoing import reopened, seen_to
from sequencer.machine.model import Machine
from sequencer.plan.plan import Plan, Station

if TYPE_CHECKING:
    pass

__all__ = ["By", "Desk", "Outcome", "RefusedError"]


class Desk(Acts):
    """A job that is open. One desk serves all threads of a process."""

    def __init__(self, folder: JobFolder, by: By = By()) -> None:  # noqa: B008 - frozen
        self.folder = folder
        self.by = by
        self._journal = folder.journal()
        self._replay = Replay()
        self._copy = Copy(folder.machine_file)
        self._lock = threading.Lock()
        self._moment: Moment | None = None
        self._settled: Moment | None = None

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

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # ---- What is so ----

    def state(self) -> JobState:
        """The state after the last event in the journal."""
        with self._lock:
            self._replay.take(self._journal.since(self._replay.seq))
            return self._replay.state()

    def moment(self) -> Moment:
        """The job as it is now: state, machine, plan.

        Where the machine file is lost or has faults, the machine is told from the journal's copy: the sight
        says so in its ``word``, and nothing but words and photos can be added until the file serves again.
        A file that was changed by hand may leave a plan that can't be done: it is planned anew first.

        Raises:
            SequencerError: The file does not serve, and the journal has no copy.
        """
        moment = self._now()
        if moment is self._settled or moment.sight.word:
            return moment
        if not moment.workable or reopened(moment):
            self.write(seen_to, By())
            moment = self._now()
        self._settled = moment
        return moment

    @property
    def word(self) -> str:
        """Why the machine was last told from the journal's copy and not from its file; empty where it was."""
        return self._moment.sight.word if self._moment else ""

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
        """The machine of this job as it is now."""
        return self.moment().machine

    @property
    def file(self) -> MachineFile:
        """The job's machine file, for acts that change it."""
        return self._copy.file

    def restore(self) -> tuple[str, ...]:
        """Put the journal's copy of the machine file in its place; what stands there is kept beside it.

        Raises:
            RefusedError: The journal was begun without one.
        """
        with self._lock, self._journal.writing() as pen:
            self._replay.take(pen.since(self._replay.seq))
            return self._copy.restore(self._replay)

    def write(self, act: Act, by: By | None = None, *, on_words: bool = False) -> Outcome:
        """Do ``act`` against the state at this moment: its events are all in the journal afterwards, or none.

        An act whose id is in the journal already is not done again: what it came to then is the answer.
        An act ``on_words`` asks nothing of the machine file: it is done even where that does not serve.
        """
        by, told = by_our_clock(by or self.by)
        identity = acts.identity_of(by)
        with contextlib.suppress(SequencerError):
            # Reading the file takes a while: not while others wait for the pen. What a hand has changed in
            # it is seen to before the act is judged.
            _ = self._now() if act is seen_to else self.moment()
        with self._lock, self._journal.writing() as pen:
            self._replay.take(pen.since(self._replay.seq))
            if identity in pen.known([identity]):
                refuse_again(self._replay.events, identity)
                return Outcome((identity,), ("this has been recorded already",), repeated=True)
            moment = self._at(self._sight(on_words=on_words))
            draft = act(moment, by)
            draft.words += told
            time = by.time or datetime.now(UTC)
            if any(kind in PLANNED for kind, _ in draft.events) or not (draft.events or moment.sight.word):
                ahead = self._replay.ahead(events_of(draft, by, identity, time))
                self._keep_workable(draft, moment, ahead)
            self._keep_given(draft, moment, by, identity, time)
            made = events_of(draft, by, identity, time)
            pen.add([*self._copy.kept(self._replay, moment.sight, by, identity), *made])
        # Only now are the events on the disk: what they say may be followed. Where that fails, what was said
        # is said all the same, and whoever looks next brings the file up, or hears what is wrong with it.
        with self._lock:
            self._replay.take(self._journal.since(self._replay.seq))
            after = self._replay.state()
            with contextlib.suppress(SequencerError):
                self._follow(draft.content, moment.sight)
        if draft.refusal is not None:
            raise draft.refusal
        return said_of(draft, made, moment, after)

    # ---- Inside ----

    def _now(self) -> Moment:
        with self._lock:
            self._replay.take(self._journal.since(self._replay.seq))
            try:
                self._follow()
                sight = self._seen()
            except SequencerError as fault:
                sight = self._copy.last_good(self._replay, fault)
            return self._at(sight)

    def _sight(self, *, on_words: bool) -> Sight:
        """The machine that an act is judged by; the pen is held."""
        try:
            if (content := self._copy.due(self._replay)) is not None:
                self._copy.put(content)
            return self._seen()
        except SequencerError as fault:
            if not on_words:
                raise
            return self._copy.last_good(self._replay, fault)

    def _seen(self) -> Sight:
        """The machine as its file says it; one without what the job is for serves no better than none."""
        sight = self._copy.look()
        try:
            _ = self._at(sight).targets
        except SequencerError as fault:
            raise self._copy.unfit(fault) from fault
        return sight

    def _keep_workable(self, draft: Draft, moment: Moment, ahead: Replay) -> None:
        """Plan anew in the same breath where an act leaves an order that can't be done.

        An act that takes a change back takes it out of the file, too.
        """
        sight = draft.sight or moment.sight
        if draft.sight is None and ahead.changes != self._replay.changes:
            draft.sight, draft.content = self._copy.after(ahead.changes)
            sight = draft.sight
        after = Moment(self.folder.card, sight, ahead.state())
        if after.state.steps and (draft.anew or not after.workable or not after.still_as_practised(moment)):
            from sequencer.job.changes.replanning import keep_workable

            keep_workable(draft, after)

    def _keep_given(self, draft: Draft, moment: Moment, by: By, identity: str, time: datetime) -> None:
        """Put down with an act which bags and labels it gave out: on the shelf they have these for good."""
        if not draft.events or moment.sight.word:
            return
        ahead = self._replay.ahead(events_of(draft, by, identity, time))
        after = Moment(self.folder.card, draft.sight or moment.sight, ahead.state())
        draft.keep(to_keep(after, draft.events))

    def _follow(self, ready: bytes | None = None, seen: Sight | None = None) -> None:
        """Bring the machine file to what the journal says, where a change has not reached it.

        ``ready`` is what it comes to, as an act that saw it as ``seen`` has made it.
        """
        if ready is None and self._copy.due(self._replay) is None:
            return
        with self._journal.writing() as pen:
            self._replay.take(pen.since(self._replay.seq))
            if ready is None or seen is None or self._copy.look().digest != seen.digest:
                ready = self._copy.due(self._replay)
            if ready is not None:
                self._copy.put(ready)

    def _at(self, sight: Sight) -> Moment:
        state, known = self._replay.state(), self._moment
        if known is None or known.state is not state or known.sight is not sight:
            self._moment = known = Moment(self.folder.card, sight, state)
        return known
