"""Telling every open page that the journal has grown, whoever wrote into it."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

from sequencer.bench.page import bench_of
from sequencer.errors import SequencerError

router = APIRouter()
LOOK_EVERY = 0.5
"""Seconds: another device's tick is seen well within two."""
SPEAK_EVERY = 10.0
"""Seconds after which it says the same again, so that a dead connection is noticed at both ends."""


@router.get("/events", include_in_schema=False)
async def events(request: Request) -> StreamingResponse:
    """Server-sent events (WHATWG HTML): ``seq``, the journal's last number, whenever it has changed.

    Before each, ``clock``: the server's time in milliseconds of Unix time.
    """
    return StreamingResponse(_numbers(request), media_type="text/event-stream")


async def _numbers(request: Request) -> AsyncIterator[str]:
    bench = bench_of(request)
    told, silent = -1, 0.0
    while bench.paired(request):
        try:
            seq = (await run_in_threadpool(bench.desk.state)).seq
        except SequencerError:
            seq = told  # the next look may find the journal again; the page's own requests say what is wrong
        if seq != told or silent >= SPEAK_EVERY:
            told, silent = seq, 0.0
            yield f"event: clock\ndata: {round(time.time() * 1000)}\n\nevent: seq\ndata: {seq}\n\n"
        await asyncio.sleep(LOOK_EVERY)
        silent += LOOK_EVERY
