"""The library on the page: what ships with the program, a search, one of it with its picture and its jobs.

It needs no job and changes nothing. A page serves the one job that it was started for; so a new one is begun
at the computer, by the line that stands with each job here.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query
from starlette.responses import HTMLResponse, Response

from sequencer.bench.page import template
from sequencer.document.catalogue import count_line, hit_lines, layer_rows, parts_by_position, varies_lines
from sequencer.errors import SequencerError
from sequencer.machine import load
from sequencer.machine.catalogue import MACHINE, ShippedModel, model_called, models, search

router = APIRouter()
MOST_WORDS = 200
Words = Annotated[str, Query(max_length=MOST_WORDS)]


@cache
def _known() -> tuple[ShippedModel, ...]:
    """What ships does not change while the page is served."""
    return models()


def _named(name: str) -> ShippedModel:
    try:
        return model_called(_known(), name)
    except SequencerError as fault:
        raise HTTPException(404, "Nothing in the library has that name.") from fault


@router.get("/models")
def library(words: Words = "") -> HTMLResponse:
    """All of it, or what a search finds, the best first, with where its words stand."""
    hits = search(_known(), words) if words.strip() else ()
    rows = [(hit.model, list(hit_lines(hit))) for hit in hits]
    if not words.strip():
        rows = [(one, [one.about, count_line(one)]) for one in _known()]
    some = bool(hits) and not hits[0].whole
    return HTMLResponse(template("library.html", words=words, rows=rows, some=some, most=MOST_WORDS))


@router.get("/models/{name}")
def model(name: str) -> HTMLResponse:
    """One machine or assembly."""
    found = _named(name)
    machine = load(found.path) if found.kind == MACHINE else None
    return HTMLResponse(
        template(
            "model.html",
            model=found,
            positions=list(parts_by_position(machine)) if machine else [],
            layers=list(layer_rows(found)),
            varies=[*found.varies, *(varies_lines(machine) if machine else ())],
        )
    )


@router.get("/models/{name}/picture.svg")
def picture(name: str) -> Response:
    """Its small picture."""
    from sequencer.render.pictures.layers import layers_picture

    return Response(layers_picture(_named(name)), media_type="image/svg+xml")
