"""What the page shows of what was told: the last line said back, and the question that it leaves."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.document.jobs.telling import last_said, open_question, read_back, remarks
from sequencer.job.changes.bare import to_tell, without_file
from sequencer.job.journal.events import EventKind
from sequencer.job.now.moment import Moment
from sequencer.job.told.last import last_told
from sequencer.spoken.values import ToldQuestion


@dataclass(frozen=True)
class ToldView:
    """What the page shows of what was told.

    Attributes:
        first: The job has no machine file: what to do next is for the person to say.
        wishes: One can be added in any words.
        read: The last line, said back, and what else came of it; nothing of one before a turn.
        event: The id of its event.
        question: What it leaves to be asked.
    """

    first: bool
    wishes: bool
    read: tuple[str, ...]
    event: str
    question: ToldQuestion | None

    @classmethod
    def of(cls, moment: Moment, person: str) -> ToldView:
        """What is to be shown to a person at a moment."""
        last, body = last_told(moment, person), last_said(moment, person)
        turned = max((one.seq for one in moment.state.of(EventKind.TURNED)), default=0)
        if last is not None and last.events[-1].seq < turned:
            last = body = None
        return cls(
            to_tell(moment),
            without_file(moment.card) and not moment.state.turned,
            (*read_back(moment, body), *remarks(body)) if body else (),
            last.events[-1].event.id if last else "",
            open_question(moment, person) if last else None,
        )
