"""Tonight on the page: until when you work, where to stop, and leaving the machine safe."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, Response

from sequencer.bench.page import bench_of, by, session_of
from sequencer.bench.pages.answers import answer
from sequencer.document.evenings.evening import evening_document, evening_line
from sequencer.document.evenings.sittings import left_words
from sequencer.document.evenings.way_out import BY_STEPS, way_lines, way_title
from sequencer.document.hours import chance_words
from sequencer.graph.operations import Op
from sequencer.job.evenings.stopping import MadeSafe
from sequencer.job.evenings.tonight import as_said, tonight, usual_time, wish_of
from sequencer.job.evenings.way_out import ways_out
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import leaving

router = APIRouter()
Id = Annotated[str, Form(max_length=40)]
Time = Annotated[str, Form(max_length=40)]
TIMES = ("45 min", "90 min", "2 h", "3 h")
CHANCES = (0.6, 0.7, 0.8, 0.9, 0.95)
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
def say(
    request: Request,
    have: Said = "",
    until: Said = "",
    chance: Annotated[float | None, Form()] = None,
    id: Id = "",  # noqa: A002
    time: Time = "",
) -> Response:
    """Say for how long you work, or until when, and how sure you want to be; a tapped length counts."""
    desk = bench_of(request).desk
    hour = None if have.strip() else until.strip() or None
    return answer(
        request,
        lambda: desk.evening(have.strip() or None, hour, chance, by=by(request, id, time)),
        "/tonight",
    )


def evening_of(moment: Moment, person: str) -> dict[str, Any]:
    """What a page says of the evening: a line, all of it in blocks, and what the form has in it."""
    now = datetime.now(UTC)
    told = tonight(moment, person, now)
    chance = told.chance if told else moment.card.wished
    return {
        "evening": evening_line(told, now) if told else "",
        "tonight": list(evening_document(told)) if told else [],
        "chance": chance,
        "chances": [(one, chance_words(one)) for one in sorted({*CHANCES, chance})],
        "times": list(dict.fromkeys(filter(None, (usual_time(moment), *TIMES)))),
    }


@router.get("/stop")
def leave(request: Request) -> HTMLResponse:
    """Whether the machine may be left, and where not, the quickest ways to make it safe."""
    bench = bench_of(request)
    moment, person = bench.desk.moment(), session_of(request).person
    told = leaving(moment, person)
    numbers = moment.state.numbers
    ways = [
        (way, way_title(moment.machine, way, numbers.get(Op(way.ops[-1]))), way_lines(moment.machine, way))
        for way in ways_out(moment, person, datetime.now(UTC))
    ]
    mind = left_words(moment.machine, told.loose)
    return bench.show(
        request, "stop.html", moment, here="stop", leaving=told, mind=mind, ways=ways, by_steps=BY_STEPS
    )


@router.post("/stop")
def stop(
    request: Request,
    why: Annotated[str, Form(max_length=4000)] = "",
    way: Said = "",
    op: Annotated[list[str], Form(max_length=400)] = [],  # noqa: B006 - a form's field
    id: Id = "",  # noqa: A002
    time: Time = "",
) -> Response:
    """Stop the clock for today: as it is, or once it was made safe."""
    desk = bench_of(request).desk
    gone = MadeSafe(way) if way in {one.value for one in MadeSafe} else None
    return answer(request, lambda: desk.stop(why, gone, op, by=by(request, id, time)))
