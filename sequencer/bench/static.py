"""The few files that the page is made with; they are named here, so that no other file can be asked for."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from fastapi import APIRouter, HTTPException, Response

from sequencer.bench.pairing import PAIR

router = APIRouter()
FILES = {
    "bench.css": "text/css; charset=utf-8",
    "bench.js": "text/javascript; charset=utf-8",
    "diagram.js": "text/javascript; charset=utf-8",
    "icon.svg": "image/svg+xml",
}


@cache
def _content(name: str) -> bytes:
    return (Path(__file__).parent / "static" / name).read_bytes()


@router.get("/static/{name}", include_in_schema=False)
@router.get(PAIR + "{token}/{name}", include_in_schema=False)
def static(name: str) -> Response:
    """One of the page's own files."""
    if name not in FILES:
        raise HTTPException(404, "There is no such file.")
    return Response(
        _content(name), media_type=FILES[name], headers={"Cache-Control": "private, max-age=3600"}
    )
