"""The stations that a page shows, with what belongs to each step on this job: bag, photos, links."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from urllib.parse import quote

from sequencer.bench.pages.answers import step_path
from sequencer.document.clean import clean
from sequencer.document.jobs.open_ends import open_ends
from sequencer.document.jobs.record import reservation_lines, torque_lines
from sequencer.document.plans.looks import check_words, lift_words
from sequencer.graph.operations import Kind, Op, Operation, subjects
from sequencer.graph.said import sentence
from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Machine, Subject
from sequencer.plan.looks.looks import Check, before_you_pull

UNDOES = frozenset({Kind.UNDO, Kind.SLACKEN, Kind.CRACK})
LIFTS = frozenset({Kind.REMOVE, Kind.MOVE_ASIDE})


@dataclass(frozen=True)
class Photo:
    """A photo of the job and what stands under it."""

    path: str
    caption: str


class Showing:
    """What a step's card is shown with; one for each page."""

    def __init__(self, moment: Moment) -> None:
        self._moment = moment
        self._lists = moment.bench_lists()
        self._off = subjects(moment.state.done, Kind.REMOVE)
        self._photos: dict[str, list[Photo]] = defaultdict(list)
        for one in moment.state.of(EventKind.PHOTO):
            op = str(one.event.body.get("op", ""))
            self._photos[_subject(op)].append(self._photo(one, op))

    def open_ends(self) -> list[str]:
        """What no step of the plan shows: what was left out, what is out of reach, what cures until when."""
        return open_ends(self._moment)

    def reservations(self) -> list[str]:
        """What was skipped, done anyway or overridden, for the end of the job."""
        return reservation_lines(self._moment)

    def torque_lines(self) -> list[str]:
        """The gates that are closed, and not simply so."""
        return torque_lines(self._moment)

    def bench_list(self, operation: str) -> tuple[str, ...]:
        """The entries that are ticked before a part is fitted, as the file has them."""
        return self._lists.get(operation, ())

    def step_url(self, operation: str) -> str:
        """The step's own page."""
        return step_path(operation)

    def gate_url(self, operation: str) -> str:
        """Where its reading is typed."""
        return step_path(operation, "gate")

    def stuck_url(self, operation: str) -> str:
        """Where it is said that its fastener won't come undone; empty where the step undoes none."""
        op = Op(operation)
        undoes = op.kind in UNDOES and op.subject.of_joint
        return f"/trouble?joint={quote(op.subject, safe='')}" if undoes else ""

    def photos(self, operation: str) -> list[Photo]:
        """Photos of what the step is about, from both ways: how it looked before it came off."""
        subject = _subject(operation)
        own = self._photos.get(subject, [])
        part = Subject(subject).part
        return own + [
            photo
            for about, found in self._photos.items()
            if about != subject and Subject(about).part == part and part
            for photo in found
        ]

    def general_photos(self) -> list[Photo]:
        """Photos of the job as a whole."""
        return self._photos.get("", [])

    def before_you_pull(self, operation: str) -> tuple[Check, ...]:
        """What to check before a part comes away: what the file does not say of it; empty for other steps."""
        found = self._moment.whole.operations.get(operation)
        if found is None or found.kind not in LIFTS or found.part is None or self._moment.state.turned:
            return ()
        return before_you_pull(self._moment.machine, found.part, self._off)

    def lift_line(self, operation: str) -> str:
        """The same in one line."""
        checks = self.before_you_pull(operation)
        return clean(lift_words(self._moment.machine, checks)) if checks else ""

    def lift_reasons(self, operation: str) -> list[str]:
        """The same with why each is asked."""
        return [clean(check_words(self._moment.machine, one)) for one in self.before_you_pull(operation)]

    def words(self, operation: str) -> str:
        """A step in words, also where it is in no plan any more."""
        return operation_words(self._moment.machine, self._moment.operations.get(operation), operation)

    def _photo(self, one: Recorded, op: str) -> Photo:
        said = str(one.event.body.get("text", ""))
        when = f"{one.event.time.astimezone():%d %b %H:%M}"
        words = self.words(op) if op else ""
        return Photo(
            f"/photo/{one.event.body['file']}", ", ".join(text for text in (words, clean(said), when) if text)
        )


def operation_words(machine: Machine, operation: Operation | None, name: str) -> str:
    """An operation in words, or its bare name where the machine has none like it."""
    return clean(sentence(machine, operation)) if operation is not None else clean(name)


def _subject(operation: str) -> str:
    return Op(operation).subject
