"""What was done, said in a line: read back, with the one question that it leaves."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import Response

from sequencer.bench.page import bench_of, by, session_of
from sequencer.bench.pages.answers import answer
from sequencer.bench.pages.work import Id, Time
from sequencer.document.jobs.telling import last_said, read_back
from sequencer.job.desk import Outcome

router = APIRouter()
Line = Annotated[str, Form(max_length=1000)]


@router.post("/did")
def did(
    request: Request,
    line: Line,
    before_now: Annotated[str, Form(max_length=10)] = "",
    id: Id = "",  # noqa: A002 - the form's field
    time: Time = "",
) -> Response:
    """Tell what was done."""
    desk = bench_of(request).desk
    return answer(
        request,
        lambda: desk.did(line, before_now=bool(before_now), by=by(request, id, time)),
        first=lambda said: _said_back(request, said),
    )


@router.post("/answer")
def answered(
    request: Request,
    text: Line,
    event: Id = "",
    id: Id = "",  # noqa: A002
    time: Time = "",
) -> Response:
    """Answer the question that the last line left."""
    desk = bench_of(request).desk
    return answer(
        request,
        lambda: desk.answer(text, asked_by=event or None, by=by(request, id, time)),
        first=lambda said: _said_back(request, said),
    )


def _said_back(request: Request, said: Outcome) -> list[str]:
    """How the line was read."""
    moment = bench_of(request).desk.moment()
    body = None if said.repeated else last_said(moment, session_of(request).person)
    return read_back(moment, body) if body else []
