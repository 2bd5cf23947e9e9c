"""The page as a web application: its routes, put together and behind the door."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import Depends, FastAPI
from starlette.middleware.gzip import GZipMiddleware

from sequencer.bench import static
from sequencer.bench.access import devices
from sequencer.bench.access.csrf import checked
from sequencer.bench.access.guard import Guard
from sequencer.bench.desk import Bench
from sequencer.bench.pages import (
    asking,
    correct,
    describe,
    evening,
    found,
    gates,
    look,
    shelf,
    stream,
    telling,
    work,
)
from sequencer.bench.pages.answers import answer_faults
from sequencer.job.desk import Desk
from sequencer.job.journal.folder import find_job

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from sequencer.bench.access.address import Address
    from sequencer.bench.access.pairing import Sessions


PARTS = (devices, work, evening, telling, gates, found, asking, correct, look, shelf, stream)
"""What a job's page is put together from; each has a router."""


def page(folder: Path, sessions: Sessions, where: Address) -> ASGIApp:
    """The page of the job in ``folder``, with nothing reachable but through the door.

    Raises:
        NoJobError: There is no job in the folder.
        JournalError: Its journal can't be read.
    """
    app = _behind_the_door("The bench page", sessions, where)
    app.state.bench = Bench(Desk(replace(find_job(folder), bare=True)), sessions, where)
    for part in PARTS:
        app.include_router(part.router)
    return Guard(app, sessions, where.names)


def survey_page(
    machine: Path, sessions: Sessions, where: Address, like: str | None = None, off: Sequence[str] = ()
) -> ASGIApp:
    """The page that describes a machine into the file ``machine``, behind the same door; ``like`` a type.

    Raises:
        SurveyError: A machine file is there that no survey wrote, or its answers can't be read.
    """
    app = _behind_the_door("Describe a machine", sessions, where)
    app.state.describing = describe.Describing(machine, like, off)
    app.include_router(describe.router)
    app.include_router(shelf.router)
    return Guard(app, sessions, where.names)


def _behind_the_door(title: str, sessions: Sessions, where: Address) -> FastAPI:
    """What every page has: its files, the taking of invitations, tokens in its forms, answers to faults."""
    app = FastAPI(title=title, docs_url=None, redoc_url=None, dependencies=[Depends(checked)])
    app.state.sessions = sessions
    app.state.where = where
    app.include_router(static.router)
    app.include_router(devices.invitations)
    answer_faults(app)
    app.add_middleware(GZipMiddleware, minimum_size=1000)  # a station with its forms: a seventh of its size
    return app
