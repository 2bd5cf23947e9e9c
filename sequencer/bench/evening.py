"""Tonight on the page: until when one works is said by a form, and where to stop stands above the work."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, Response

from sequencer.bench.answers import answer
from sequencer.bench.desk import bench_of, by, session_of
from sequencer.document.evening import evening_document, evening_line
from sequencer.job.moment import Moment
from sequencer.job.tonight import as_said, tonight, usual_time, wish_of

router = APIRouter()
Id = Annotated[str, Form(max_length=40)]
Time = Annotated[str, Form(max_length=40)]
TIMES = ("45 min", "90 min", "2 h", "3 h")
"""What a thumb can say without typing."""
Said = Annotated[str, Form(max_length=40)]


@router.get("/tonight")
def shown(request: Request) -> HTMLResponse:
    """How far somebody gets until when they said, and where to stop."""
    bench = bench_of(request)
    moment, person = bench.desk.moment(), session_of(request).person
    said = evening_of(moment, person)
    if wish_of(moment, person, datetime.now(UTC)) is not None and not said["evening"]:
        as_said(moment, person, datetime.now(UTC))  # it says why nobody can tell
    return bench.show(request, "tonight.html", moment, here="tonight", **said)


@router.post("/tonight")
def say(request: Request, have: Said = "", until: Said = "", id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """Say for how long one works, or until when."""
    desk = bench_of(request).desk
    return answer(
        request,
        lambda: desk.evening(have.strip() or None, until.strip() or None, by=by(request, id, time)),
        "/tonight",
    )


def evening_of(moment: Moment, person: str) -> dict[str, Any]:
    """What a page says of the evening: a line, all of it in blocks, and what the form has in it."""
    now = datetime.now(UTC)
    told = tonight(moment, person, now)
    return {
        "evening": evening_line(told, now) if told else "",
        "tonight": list(evening_document(told)) if told else [],
        "times": list(dict.fromkeys(filter(None, (usual_time(moment), *TIMES)))),
    }
