"""Pairing: taking an invitation, making another, and sending a device away."""

from __future__ import annotations

from typing import Annotated, Any, cast

from fastapi import APIRouter, Form, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from sequencer.bench.access.address import Address
from sequencer.bench.access.pairing import PAIR, SESSION_SECONDS, Session, Sessions
from sequencer.bench.page import bench_of, session_of, template

router = APIRouter()
invitations = APIRouter()
Name = Annotated[str, Form(max_length=80)]


@invitations.get(PAIR + "{token}", include_in_schema=False)
def invitation(request: Request, token: str) -> HTMLResponse:
    """Ask before the invitation is used up: a preview of the link must not spend it."""
    agent = request.headers.get("user-agent", "")
    guess = next(
        (word for word in ("iPad", "iPhone", "Android", "Windows", "Mac", "Linux") if word in agent), ""
    )
    kind = {"iPad": "tablet", "iPhone": "phone", "Android": "phone"}.get(guess, "computer")
    return HTMLResponse(template("pair.html", token=token, guess=kind, where=_where(request)))


@invitations.post(PAIR + "{token}", include_in_schema=False)
def pair(request: Request, token: str, person: Name = "", device: Name = "") -> Response:
    """Take the invitation."""
    sessions: Sessions = request.state.sessions
    taken = {one.device for one in sessions.devices()}
    before = request.state.session
    taken -= {before.device} if before else set()
    name = _fresh(_one_line(device) or "device", taken)
    cookie = sessions.pair(token, name, _one_line(person), before)
    if cookie is None:
        raise HTTPException(401, "This invitation has been used, or is too old. Ask for another.")
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        sessions.cookie,
        cookie,
        max_age=SESSION_SECONDS,
        httponly=True,
        samesite="strict",
        path="/",
        secure=_where(request).secure,
    )
    return answer


@router.get("/devices", include_in_schema=False)
def devices(request: Request) -> HTMLResponse:
    """The devices that are paired."""
    bench = bench_of(request)
    return bench.show(
        request, "devices.html", bench.desk.moment(),
        here="devices", devices=sent_by(request, bench.sessions), where=bench.where, link="",
    )  # fmt: skip


@router.post("/devices/invite", include_in_schema=False)
def invite(request: Request) -> HTMLResponse:
    """A new invitation, as a link and as a code for a camera."""
    bench = bench_of(request)
    return bench.show(
        request, "devices.html", bench.desk.moment(),
        here="devices", devices=sent_by(request, bench.sessions), where=bench.where,
        **invited(bench.where, bench.sessions.invite((bench.job,) if bench.job else None)),
    )  # fmt: skip


@router.post("/devices/end", include_in_schema=False)
def end(request: Request, key: Annotated[str, Form(max_length=80)]) -> Response:
    """Send a device away."""
    sessions: Sessions = request.state.sessions
    for session in sent_by(request, sessions):
        if session.key == key:
            sessions.end(session)
    gone = session_of(request).key == key
    return HTMLResponse("This device is no longer paired.\n") if gone else RedirectResponse("/devices", 303)


def sent_by(request: Request, sessions: Sessions) -> list[Session]:
    """The devices that the one that asks is shown, and may send away: those that may do no more than it."""
    return [one for one in sessions.devices() if session_of(request).covers(one)]


def invited(where: Address, token: str) -> dict[str, Any]:
    """What shows an invitation: its link and the codes for a camera."""
    link = f"{where.url}{PAIR}{token}"
    return {
        "link": link,
        "code": _code(link),
        "install_code": _code(where.install) if where.install else "",
    }


def _where(request: Request) -> Address:
    return cast("Address", request.state.where)


def _code(link: str) -> str:
    import segno

    return segno.make(link, error="m").svg_inline(
        scale=4, border=4, svgclass=None, lineclass=None, omitsize=True
    )


def _one_line(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def _fresh(name: str, taken: set[str]) -> str:
    """A name that no other device has: a device's own last act is what its undo takes back."""
    numbered = (f"{name} {number}" for number in range(2, len(taken) + 3))
    return name if name not in taken else next(one for one in numbered if one not in taken)
