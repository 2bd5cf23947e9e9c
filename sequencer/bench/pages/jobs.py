"""The list of the jobs that are served, and the devices that may see them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, cast

from fastapi import APIRouter, Form, HTTPException, Request
from starlette.responses import HTMLResponse

from sequencer.bench.access import devices
from sequencer.bench.access.pairing import Session
from sequencer.bench.page import at_port, session_of, template
from sequencer.bench.remedies import for_a_thumb
from sequencer.bench.yard import Berth, Yard, glances
from sequencer.document.jobs.glance import shared
from sequencer.errors import SequencerError

router = APIRouter()
router.post("/devices/end", include_in_schema=False)(devices.end)
Ids = Annotated[Sequence[Annotated[str, Form(max_length=80)]], Form(max_length=500)]


def yard_of(request: Request) -> Yard:
    """The jobs that a request is about."""
    return cast("Yard", request.state.yard)


def _seen_by(session: Session, stands: Sequence[Berth]) -> list[Berth]:
    """The jobs that a device may know of; one whose card can't be read is shown to those who may see all."""
    return [one for one in stands if session.may(one.id)]


@router.get("/")
def jobs(request: Request) -> HTMLResponse:
    """What is next on each job, what it waits for, and which tool is in use elsewhere."""
    yard, session = yard_of(request), session_of(request)
    stands = _seen_by(session, yard.stands())
    seen = glances(stands)
    rows = [
        (one, at_port(request, stand.port) if stand.port else "", shared(one, seen))
        for stand, one in zip(stands, seen, strict=True)
    ]
    elsewhere, problem = 0, ""
    try:
        elsewhere = len(yard.elsewhere()) if session.jobs is None else 0
    except SequencerError as why:
        problem = for_a_thumb(why)
    return HTMLResponse(
        template("jobs.html", rows=rows, elsewhere=elsewhere, problem=problem, folder=yard.folder.name)
    )


@router.get("/devices")
def devices_of(request: Request) -> HTMLResponse:
    """The devices that are paired, and what to invite another one to."""
    return _devices(request)


@router.post("/devices/invite")
def invite(request: Request, job: Ids = (), every: Annotated[str, Form(max_length=5)] = "") -> HTMLResponse:
    """An invitation to the jobs that were ticked, or to all, future ones included.

    Raises:
        HTTPException: None was ticked, or one that this device may not see itself.
    """
    yard, session = yard_of(request), session_of(request)
    if every and session.jobs is None:
        return _devices(request, yard.sessions.invite())
    known = {one.id for one in _seen_by(session, yard.stands())}
    if every or not set(job) <= known:
        raise HTTPException(403, "This device can invite others only to jobs that it sees itself.")
    if not job:
        return _devices(request, problem="Tick at least one job first.")
    return _devices(request, yard.sessions.invite(tuple(dict.fromkeys(job))))


def _devices(request: Request, token: str = "", problem: str = "") -> HTMLResponse:
    yard, session = yard_of(request), session_of(request)
    stands = [one for one in _seen_by(session, yard.stands()) if one.id]
    titles = {one.id: one.title for one in stands}
    found = [
        (one, "all jobs" if one.jobs is None else ", ".join(titles[job] for job in one.jobs if job in titles))
        for one in devices.sent_by(request, yard.sessions)
    ]
    more = devices.invited(yard.where, token) if token else {"link": "", "code": "", "install_code": ""}
    return HTMLResponse(
        template(
            "invite.html", csrf=session.csrf, session=session, stands=stands, devices=found,
            where=yard.where, problem=problem, **more,
        )
    )  # fmt: skip
