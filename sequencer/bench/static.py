"""The few files that the page is made with; they are named here, so that no other file can be asked for."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path

from fastapi import APIRouter, HTTPException, Response

from sequencer.bench.access.pairing import PAIR

router = APIRouter()
FILES = {
    "bench.css": "text/css; charset=utf-8",
    "beside.js": "text/javascript; charset=utf-8",
    "bench.js": "text/javascript; charset=utf-8",
    "count.js": "text/javascript; charset=utf-8",
    "diagram.js": "text/javascript; charset=utf-8",
    "hands.js": "text/javascript; charset=utf-8",
    "icon.svg": "image/svg+xml",
    "kept.js": "text/javascript; charset=utf-8",
    "worker.js": "text/javascript; charset=utf-8",
}
LASTING = {"Cache-Control": "private, max-age=31536000, immutable"}
"""Asked for by what is in it: what is under this address never changes."""
BRIEFLY = {"Cache-Control": "private, max-age=3600"}
WORKER = {"Cache-Control": "no-cache", "Service-Worker-Allowed": "/"}
"""It may answer for the whole page, not for this folder alone (Service Workers, W3C, section 7)."""


@cache
def _content(name: str) -> bytes:
    return (Path(__file__).parent / "static" / name).read_bytes()


@cache
def address_of(name: str) -> str:
    """Where a page asks for one of the files: another address as soon as another version is in it."""
    return f"/static/{name}?v={sha256(_content(name)).hexdigest()[:12]}"


@router.get(PAIR + "{token}/{name}", include_in_schema=False)
def invited(name: str) -> Response:
    """What the page of an invitation is made of, for a device that gets nothing else yet."""
    return static(name if name in ("bench.css", "icon.svg") else "")


@router.get("/static/{name}", include_in_schema=False)
def static(name: str, v: str = "") -> Response:
    """One of the page's own files."""
    if name not in FILES:
        raise HTTPException(404, "There is no such file.")
    headers = WORKER if name == "worker.js" else LASTING if address_of(name).endswith(f"={v}") else BRIEFLY
    return Response(_content(name), media_type=FILES[name], headers=headers)
