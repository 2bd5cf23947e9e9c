"""The page as a web application: its routes, put together and behind the door."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from fastapi import Depends, FastAPI
from starlette.middleware.gzip import GZipMiddleware

from sequencer.bench import static
from sequencer.bench.access import devices
from sequencer.bench.access.csrf import checked
from sequencer.bench.access.guard import Guard
from sequencer.bench.page import Bench
from sequencer.bench.pages import (
    asking,
    correct,
    describe,
    evening,
    found,
    gates,
    jobs,
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
    from collections.abc import Sequence

    from starlette.types import ASGIApp

    from sequencer.bench.access.address import Address
    from sequencer.bench.access.pairing import Sessions
    from sequencer.bench.yard import Yard


PARTS = (devices, work, evening, telling, gates, found, asking, correct, look, shelf, stream)
"""What a job's page is put together from; each has a router."""


def page(folder: Path, sessions: Sessions, where: Address) -> ASGIApp:
    """The page of the job in ``folder``, with nothing reachable but through the door.

    Raises:
        NoJobError: There is no job in the folder.
        JournalError: Its journal can't be read.
    """
    return page_of(Bench(Desk(replace(find_job(folder), bare=True)), sessions, where))


def page_of(bench: Bench) -> ASGIApp:
    """The page of a job that is open, for the devices that may see it."""
    return Guard(_made_of(*PARTS), bench.sessions, bench.where, bench.job, bench=bench)


def jobs_page(yard: Yard) -> ASGIApp:
    """The page that lists the jobs of a folder, behind the same door."""
    return Guard(_made_of(jobs, shelf), yard.sessions, yard.where, yard=yard)


def survey_page(
    machine: Path, sessions: Sessions, where: Address, like: str | None = None, off: Sequence[str] = ()
) -> ASGIApp:
    """The page that describes a machine into the file ``machine``, behind the same door; ``like`` a type.

    Raises:
        SurveyError: A machine file is there that no survey wrote, or its answers can't be read.
    """
    describing = describe.Describing(machine, like, off)
    return Guard(_made_of(describe, shelf), sessions, where, describing=describing)


@cache
def _made_of(*parts: ModuleType) -> FastAPI:
    """The routes of the parts, and what each page has: files, invitations, tokens in forms, answers.

    Made once however many jobs are served, for it knows none: the door says which a request is about. It is
    whole before the first request: FastAPI else makes up a route at the first request for it, and pydantic,
    whose the forms are, can't in two threads at once, so that now and then one of two jobs would fail.
    """
    app = FastAPI(title="The bench", docs_url=None, redoc_url=None, dependencies=[Depends(checked)])
    for part in (static, *parts):
        app.include_router(part.router)
    app.include_router(devices.invitations)
    answer_faults(app)
    app.add_middleware(GZipMiddleware, minimum_size=1000)  # a station with its forms: a seventh of its size
    for route in app.router.routes:
        route.matches({"type": "http", "method": "GET", "path": "/", "headers": [], "root_path": ""})
    return app
