"""Describing a machine from the page: the conversation of ``sequencer survey``, a tap or a line an answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from threading import Lock
from typing import Annotated, cast
from urllib.parse import quote

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response

from sequencer.bench.page import session_of, template
from sequencer.bench.pages.answers import wants_data
from sequencer.bench.remedies import for_a_thumb
from sequencer.errors import SequencerError
from sequencer.machine.survey import DONT_KNOW, Survey, SurveyError
from sequencer.plan.like import open_survey

router = APIRouter()
Words = Annotated[str, Form(max_length=2000)]
Taps = Annotated[Sequence[Words], Form(max_length=100)]
Number = Annotated[int, Form(ge=0)]


class Describing:
    """A survey that several devices may answer; one answer at a time."""

    def __init__(self, path: Path, like: str | None = None, off: Sequence[str] = ()) -> None:
        self.path = path
        self._lock = Lock()
        self._survey = open_survey(path, like, off)
        self._said: dict[str, str] = {}

    def answer(self, key: str, question: str, text: str) -> None:
        """Take an answer, and keep how it was understood for that device's next page.

        Raises:
            AnswerError: It was not understood; nothing has changed.
        """
        with self._lock:
            self._said[key] = self._current().answer(question, text)

    def change(self, key: str, number: int, text: str) -> None:
        """Say an old answer anew, and keep what became of it and of those after it for the next page.

        Raises:
            AnswerError: It was not understood; nothing has changed.
        """
        with self._lock:
            changed = self._current().change(number, text)
            self._said[key] = ". ".join(line for line in (changed.echo, changed.words) if line)

    def undo(self, key: str) -> None:
        """Take back the last answer."""
        with self._lock:
            gone = self._current().undo()
            self._said[key] = f"taken back: {gone.text}" if gone else "there is nothing to take back"

    def save(self, key: str) -> None:
        """Write the machine file.

        Raises:
            SurveyError: It was changed by hand since.
        """
        with self._lock:
            self._current().save()
            self._said[key] = f"written: {self.path.name}"

    def said(self, key: str, text: str | None = None) -> str:
        """Words for a device's next page; told once."""
        if text is not None:
            self._said[key] = text
            return ""
        return self._said.pop(key, "")

    def now(self) -> Survey:
        """The survey as it is, answers from a terminal included."""
        with self._lock:
            return self._current()

    def _current(self) -> Survey:
        fresh = open_survey(self.path) if self._survey.changed_elsewhere else self._survey
        self._survey = fresh
        return fresh


def describing_of(request: Request) -> Describing:
    """The survey that a request is about."""
    return cast("Describing", request.state.describing)


@router.get("/")
def question(request: Request, ask: str = "", change: int = 0) -> HTMLResponse:
    """The next question, or the one that was picked: of those that are open, or an old one to be changed."""
    at = describing_of(request)
    survey, session = at.now(), session_of(request)
    left, answered = survey.open_questions, survey.answered
    asked = next((one for one in left if one.id == ask), survey.question or (left[0] if left else None))
    former = ""
    if 1 <= change <= len(answered):
        asked, old = answered[change - 1]
        former = old.text
    return HTMLResponse(
        template(
            "survey.html",
            csrf=session.csrf,
            question=asked,
            former=former,
            number=change if former else 0,
            choices=[choice for choice in (asked.choices if asked else ()) if choice != DONT_KNOW],
            several=asked is not None and asked.by_number == "some" and asked.skip in asked.choices,
            dont_know=DONT_KNOW,
            left=left,
            answered=answered,
            answers=len(survey.answers),
            last=survey.answers[-1].text if survey.answers else "",
            parts={} if survey.source else survey.parts,
            said=at.said(session.key),
            file=at.path.name,
            can_save=bool(survey.parts),
        )
    )


@router.post("/answer")
def answer(
    request: Request, question: Words, text: Words = "", choice: Taps = (), number: Number = 0
) -> Response:
    """One answer: a tap, several ticked, or a line; with the ``number`` of an old one, instead of that."""
    again = f"/?change={number}" if number else f"/?ask={quote(question)}"
    said = ", ".join(choice) or text
    if number:
        return _done(request, lambda at, key: at.change(key, number, said), again)
    return _done(request, lambda at, key: at.answer(key, question, said), again)


@router.post("/undo")
def undo(request: Request) -> Response:
    """Take back the last answer."""
    return _done(request, lambda at, key: at.undo(key))


@router.post("/save")
def save(request: Request) -> Response:
    """Write the machine file."""
    return _done(request, lambda at, key: at.save(key))


@router.get("/file")
def file(request: Request) -> PlainTextResponse:
    """The machine file as it would be written now."""
    try:
        return PlainTextResponse(describing_of(request).now().machine_text())
    except SurveyError as why:
        return PlainTextResponse(f"{for_a_thumb(why)}\n", 409)


def _done(request: Request, act: Callable[[Describing, str], None], again: str = "/") -> Response:
    at, key = describing_of(request), session_of(request).key
    try:
        act(at, key)
    except SequencerError as why:
        if wants_data(request):
            raise
        at.said(key, for_a_thumb(why))
        return RedirectResponse(again, 303)
    return RedirectResponse("/", 303)
