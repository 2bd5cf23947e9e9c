"""What every route needs: the job's desk, who is asking, and the words for the top of each page."""

from __future__ import annotations

import time
import uuid
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import cast

from fastapi import Request
from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from markupsafe import Markup
from starlette.responses import HTMLResponse

from sequencer.bench.access.address import Address
from sequencer.bench.access.pairing import Session, Sessions
from sequencer.bench.static import address_of
from sequencer.document.evenings.sittings import leaving_words
from sequencer.document.hours import hours_words
from sequencer.document.steps.cards import StationCard, StepCard
from sequencer.document.underway.ahead import cards_of
from sequencer.document.words import duration, plural
from sequencer.errors import SequencerError
from sequencer.graph.said import sentence
from sequencer.job.changes.bare import to_tell
from sequencer.job.desk import By, Desk
from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import hours_left
from sequencer.job.work.undoing import last_act, what_it_was
from sequencer.plan.plan import Refit
from sequencer.wording import and_more, capital

MOST_WAITING = 200
"""Words kept for pages that have not been shown yet."""
NEWEST = 3
"""Notes of a step that stand under it among the other steps; its own page has all of them."""


@dataclass(frozen=True)
class Head:
    """The head of every page: what job it is, how far, and what an undo would take back."""

    id: str
    title: str
    seq: int
    done: int
    of: int
    progress: str
    running: bool
    turned: bool
    undoable: str
    """The id of the event that an undo takes back; empty where there is none."""
    undoable_words: str


class Bench:
    """The page's side of a job.

    Args:
        desk: The job.
        sessions: Who is paired.
        where: The page's address.
        job: Its id, where it is one of several; ``jobs`` is then the port of the page that lists them.
    """

    def __init__(self, desk: Desk, sessions: Sessions, where: Address, job: str = "", jobs: int = 0) -> None:
        self.desk = desk
        self.sessions = sessions
        self.where = where
        self.job = job
        self.jobs = jobs
        self._waiting: OrderedDict[str, tuple[str, tuple[str, ...]]] = OrderedDict()
        """By a device's key: why something was refused, and what is said, in whole sentences."""

    def paired(self, request: Request) -> bool:
        """Whether the device that asks is still paired."""
        session = self.sessions.of(request.cookies.get(self.sessions.cookie))
        return session is not None and (not self.job or session.may(self.job))

    def say(self, session: Session, problem: str = "", said: tuple[str, ...] = ()) -> None:
        """Keep sentences for the next page that this device is shown."""
        self._waiting[session.key] = (problem, said)
        while len(self._waiting) > MOST_WAITING:
            self._waiting.popitem(last=False)

    def cards(self, moment: Moment, person: str, newest: int | None = NEWEST) -> list[StationCard]:
        """The stations that are left; on the way back with the wrench for each gate, and its setting.

        Each step has the ``newest`` of its notes, or all of them (None).
        """
        from sequencer.plan.closing.toolbox import equipment

        box = self.desk.toolbox() if isinstance(moment.plan, Refit) else None
        return cards_of(
            moment, equipment(moment.plan, box, date.today()) if box else None, newest, person=person
        )

    def card(self, moment: Moment, operation: str, person: str) -> tuple[StationCard, StepCard] | None:
        """The card of one step that is left, with its station's."""
        for station in self.cards(moment, person, newest=None):
            for step in station.steps:
                if step.operation == operation:
                    return station, step
        return None

    def head(self, moment: Moment, session: Session) -> Head:
        """The head of a page."""
        state = moment.state
        done = len(state.settled)
        way = "way back" if state.turned else "way in"
        if to_tell(moment):
            progress = f"{way}: {plural(done, 'step')} done"
        else:
            hours = hours_left(moment, session.person)
            left = f"{hours_words(hours)} left" if hours else "all done"
            progress = f"{way}: {done} of {plural(len(state.steps), 'step')}, {left}"
        mine = last_act(moment, session.device)
        return Head(
            moment.card.id,
            moment.card.title,
            state.seq,
            done,
            len(state.steps),
            progress,
            state.running is not None,
            state.turned,
            mine.event.id if mine else "",
            _taken_back(moment, mine) if mine else "",
        )

    def show(
        self, request: Request, template: str, moment: Moment, status: int = 200, **more: object
    ) -> HTMLResponse:
        """A page."""
        session = session_of(request)
        problem, said = self._waiting.pop(session.key, ("", ()))
        text = (
            _templates()
            .get_template(template)
            .render(
                job=self.head(moment, session),
                csrf=session.csrf,
                session=session,
                jobs=at_port(request, self.jobs) if self.jobs else "",
                problem=more.pop("problem", "") or problem or moment.sight.word,
                said=said,
                now=round(time.time() * 1000),
                hidden=lambda: _hidden(session),
                moment=moment,
                **more,
            )
        )
        return HTMLResponse(text, status)

    def piece(self, template: str, **more: object) -> HTMLResponse:
        """A piece that a page asks for by itself: words that wait for the next page go on waiting."""
        return HTMLResponse(_templates().get_template(template).render(more))


def _taken_back(moment: Moment, act: Recorded) -> str:
    """What an undo of an act takes back, the steps by their words."""
    done = [
        moment.operations[op] for op in map(str, act.event.body.get("ops", ())) if op in moment.operations
    ]
    if act.event.kind is not EventKind.DONE or not done:
        return what_it_was(moment, act)
    number = moment.state.number(done[0].name) or ""
    return f"the tick of {number} {sentence(moment.machine, done[0])}{and_more(len(done) - 1)}"


def _hidden(session: Session) -> Markup:
    """The fields of every form: the session's token, and an id so that a form sent twice counts once."""
    return Markup(
        '<input type="hidden" name="csrf" value="{}"><input type="hidden" name="id" value="{}">'
    ).format(session.csrf, uuid.uuid4())


@cache
def _templates() -> Environment:
    found = Environment(
        loader=PackageLoader("sequencer.bench"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals["asset"] = address_of
    found.filters |= {
        "capital": capital,
        "duration": duration,
        "hours": hours_words,
        "leaving": leaving_words,
    }
    return found


def template(name: str, **more: object) -> str:
    """A page for a device that is not paired yet."""
    return _templates().get_template(name).render(**more)


def bench_of(request: Request) -> Bench:
    """The bench that a request is at."""
    return cast("Bench", request.state.bench)


def at_port(request: Request, port: int) -> str:
    """A page at another port, under the name that the device asked for: its cookie is for that name alone."""
    name = request.headers["host"].removesuffix(f":{request.url.port}")
    return f"{request.url.scheme}://{name}:{port}/"


def session_of(request: Request) -> Session:
    """The paired device that asks; the door lets no other in."""
    return cast("Session", request.state.session)


def by(request: Request, identity: str, told: str = "") -> By:
    """Who says it, when (by the device's own clock), and under which id.

    Raises:
        SequencerError: The time is none.
    """
    session = session_of(request)
    try:
        when = datetime.fromisoformat(told) if told else None
    except ValueError:
        when = None
    if told and (when is None or when.tzinfo is None):
        raise SequencerError(
            "the time of this entry can't be read", "give it as 2026-11-25T10:02:15Z, or leave it out"
        )
    return By(session.person, session.device, when, identity or None)
