"""The page as a web application: its routes, put together and behind the door."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import Depends, FastAPI

from sequencer.bench import devices, found, gates, look, static, stream, work
from sequencer.bench.answers import answer_faults
from sequencer.bench.csrf import checked
from sequencer.bench.desk import Bench
from sequencer.bench.guard import Guard
from sequencer.job.desk import Desk

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from sequencer.bench.pairing import Sessions
    from sequencer.bench.serve import Address


def page(folder: Path, sessions: Sessions, where: Address) -> ASGIApp:
    """The page of the job in ``folder``, with nothing reachable but through the door.

    Raises:
        NoJobError: There is no job in the folder.
        JournalError: Its journal can't be read.
    """
    app = FastAPI(title="The bench page", docs_url=None, redoc_url=None, dependencies=[Depends(checked)])
    app.state.bench = Bench(Desk.open(folder), sessions, where)
    for part in (static, devices, work, gates, found, look, stream):
        app.include_router(part.router)
    answer_faults(app)
    return Guard(app, sessions, where.names)
