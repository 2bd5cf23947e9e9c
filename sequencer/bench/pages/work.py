"""The work itself: the present station, ticks, and all that may be said at a step."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, File, Form, HTTPException, Request, UploadFile
from starlette.responses import HTMLResponse, Response

from sequencer.bench.page import bench_of, by, session_of
from sequencer.bench.pages.answers import answer, step_path
from sequencer.bench.pages.evening import evening_of
from sequencer.bench.pages.showing import Showing
from sequencer.bench.pages.told import ToldView
from sequencer.document.evenings.resumed import resumed_document
from sequencer.document.evenings.sittings import left_words
from sequencer.document.plans.plan import aims_of
from sequencer.document.steps.cards import StationCard
from sequencer.job.now.choosing import chosen
from sequencer.job.reports.status import leaving

router = APIRouter()
StepName = Annotated[str, Form(max_length=400)]
Ops = Annotated[list[str], Form(max_length=400)]
Listed = Annotated[list[str], Form(max_length=400)]
Id = Annotated[str, Form(max_length=40)]
Time = Annotated[str, Form(max_length=40)]
Words = Annotated[str, Form(max_length=4000)]
AHEAD = 60
"""Steps that a device can tick without a connection; the page of a job of any length stays light."""
JUST_DONE = 4
"""Ticks that are shown under the station, to be taken back."""


@router.get("/")
def now(request: Request) -> HTMLResponse:
    """The present station; many of those after it are on the page too, for when the connection is away."""
    bench = bench_of(request)
    moment, person = bench.desk.moment(), session_of(request).person
    ticks = [one for one in moment.state.ticks.values() if one.back is moment.state.turned][-JUST_DONE:]
    left = leaving(moment, person)
    return bench.show(
        request,
        "now.html",
        moment,
        here="now",
        stations=_ahead(bench.cards(moment, person)),
        view=Showing(moment),
        telling=ToldView.of(moment, person),
        kept=bool(moment.machine.taken_apart.order),
        wanted=aims_of(moment.plan),
        just_done=list(reversed(ticks)),
        leaving=left,
        mind=left_words(moment.machine, left.loose),
        **evening_of(moment, person),
        resumed=list(resumed_document(moment, datetime.now(UTC))),
    )


@router.get("/step/{operation:path}")
def step(request: Request, operation: str) -> HTMLResponse:
    """One step, and all that may be said about it: in the way, photo, note, skip, trouble."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    if operation not in moment.whole.operations and moment.state.number(operation) is None:
        raise HTTPException(404, "The plan has no such step.")
    found = bench.card(moment, operation, session_of(request).person)
    return bench.show(
        request,
        "step.html",
        moment,
        here="step",
        op=operation,
        station=found[0] if found else None,
        card=found[1] if found else None,
        tick=moment.state.tick(operation),
        view=Showing(moment),
    )


@router.post("/tick")
def tick(
    request: Request,
    op: Ops,
    id: Id = "",  # noqa: A002 - the form's field
    time: Time = "",
    anyway: Words = "",
    prepared: Listed = [],  # noqa: B006 - a form's field
) -> Response:
    """Tick steps; ``prepared`` are the entries of their bench lists that are ticked."""
    desk = bench_of(request).desk
    return answer(
        request, lambda: desk.done(op, anyway=anyway or None, prepared=prepared, by=by(request, id, time))
    )


@router.post("/untick")
def untick(request: Request, op: StepName, id: Id = "", time: Time = "", back: Words = "/") -> Response:  # noqa: A002
    """Take one tick back."""
    desk = bench_of(request).desk

    def which() -> str | int:
        moment = desk.moment()
        (name,) = chosen(moment, [op])
        return moment.state.number(name) or name

    return answer(request, lambda: desk.undo(which(), by=by(request, id, time)), back)


@router.post("/undo")
def undo(request: Request, event: Id = "", id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """Take back the act that the button named; without one, the last thing that this device did."""
    desk = bench_of(request).desk
    return answer(request, lambda: desk.undo(event or None, by=by(request, id, time)))


@router.post("/skip")
def skip(request: Request, op: StepName, why: Words, id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """Leave a step out."""
    desk = bench_of(request).desk
    return answer(request, lambda: desk.skip([op], why, by=by(request, id, time)))


@router.post("/note")
def note(request: Request, text: Words, op: StepName = "", id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """Keep a note."""
    desk = bench_of(request).desk
    selection = [op] if op else None
    return answer(request, lambda: desk.note(text, selection, by=by(request, id, time)), _back(op))


@router.post("/photo")
def photo(
    request: Request,
    photo: Annotated[UploadFile, File()],
    op: StepName = "",
    text: Words = "",
    id: Id = "",  # noqa: A002
    time: Time = "",
) -> Response:
    """Keep a photo."""
    desk = bench_of(request).desk
    content = photo.file.read()
    selection = [op] if op else None
    return answer(request, lambda: desk.photo(selection, content, text, by=by(request, id, time)), _back(op))


@router.post("/resume")
def resume(request: Request, id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """Start the clock, or go on."""
    desk = bench_of(request).desk
    return answer(request, lambda: desk.resume(by=by(request, id, time)))


def _ahead(stations: list[StationCard]) -> list[StationCard]:
    """The present station, the next, and more until there is enough to do without a connection."""
    shown, steps = stations[:2], sum(len(one.steps) for one in stations[:2])
    for one in stations[2:]:
        if steps >= AHEAD:
            break
        shown.append(one)
        steps += len(one.steps)
    return shown


def _back(op: str) -> str:
    return step_path(op) if op else "/"
