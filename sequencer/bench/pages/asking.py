"""The questions whose answers would save most, one at a time: the rule and words of the command ``ask``."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, Response

from sequencer.bench.page import bench_of, by
from sequencer.bench.pages.answers import answer
from sequencer.bench.pages.work import Id, Listed, Time
from sequencer.document.jobs.asking import (
    NONE,
    named_words,
    question_words,
    thing_words,
    things_words,
    worth_words,
)
from sequencer.errors import SequencerError
from sequencer.job.changes.asking import may_bind, open_questions, reply
from sequencer.plan.asking import About

router = APIRouter()
Key = Annotated[str, Form(max_length=8000)]
Line = Annotated[str, Form(max_length=1000)]


@router.get("/ask")
def ask(request: Request) -> HTMLResponse:
    """The best question; the best after its answer stands here next."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    found = next(iter(open_questions(moment)), None)
    things = (
        []
        if found is None
        else [(str(one.atom), thing_words(moment.machine, one)) for one in may_bind(found)]
    )
    return bench.show(
        request,
        "ask.html",
        moment,
        here="ask",
        question=question_words(moment.machine, found) if found else NONE,
        key=found.key if found else "",
        worth=worth_words(found) if found else "",
        about=things_words(moment.machine, found) if found and found.about is not About.PAIR else "",
        choices=("yes", "no") if found and found.about is About.PAIR else ("no", "yes"),
        things=things,
        named=named_words(found) if found else "",
    )


@router.post("/ask")
def answered(
    request: Request,
    question: Key,
    text: Line = "",
    thing: Listed = [],  # noqa: B006 - a form's field
    id: Id = "",  # noqa: A002
    time: Time = "",
) -> Response:
    """Take an answer: a tap, a line, or the things that were ticked."""
    desk, said = bench_of(request).desk, text.strip() or ", ".join(thing)
    if not said:
        raise SequencerError("nothing was answered", "tap an answer, or tick what was in the way")
    act = reply([(question, said)], desk.file, date.today())
    return answer(request, lambda: desk.write(act, by=by(request, id, time)), "/ask")
