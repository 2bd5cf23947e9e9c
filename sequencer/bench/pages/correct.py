"""What the file has wrong about a part or joint, put right from the page."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, HTTPException, Request
from starlette.responses import HTMLResponse, Response

from sequencer.bench.page import bench_of, by
from sequencer.bench.pages.answers import answer
from sequencer.bench.pages.found import Name, with_lines
from sequencer.bench.pages.work import Id, Time
from sequencer.errors import SequencerError
from sequencer.graph.said import path_words
from sequencer.job.changes.correcting import JOINT_KEYS, PART_KEYS, as_it_stands
from sequencer.machine.model import Subject

router = APIRouter()
SHOWN = {
    "head": "Head",
    "thread": "Thread",
    "length": "How long, in mm",
    "count": "How many",
    "torque": "Torque, with its unit",
    "label": "What it is called",
    "class": "Strength class",
    "pattern": "Order of tightening",
}


@router.get("/correct")
def correct(request: Request, where: str) -> HTMLResponse:
    """Ask what is right, of a part or joint."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    machine, is_joint = moment.machine, bool(Subject(where).joint)
    if where not in machine.parts and machine.own_joint(where) is None:
        raise HTTPException(404, "The machine has no part or joint of that name.")
    now = as_it_stands(where, bench.desk.folder.machine_file)
    fields = [(key, SHOWN[key], now.get(key)) for key in (JOINT_KEYS if is_joint else PART_KEYS)]
    words = path_words(machine, where)
    return bench.show(
        request, "correct.html", moment, here="correct", where=where, words=words, fields=fields
    )


@router.post("/correct")
def put_right(
    request: Request,
    where: Name,
    head: Name = "",
    thread: Name = "",
    length: Name = "",
    count: Name = "",
    torque: Name = "",
    label: Name = "",
    strength: Annotated[str, Form(max_length=200, alias="class")] = "",
    pattern: Name = "",
    id: Id = "",  # noqa: A002 - the form's field
    time: Time = "",
) -> Response:
    """Put right what was filled in; what was left empty stays as the file has it."""
    desk, said = bench_of(request).desk, by(request, id, time)
    told = dict(zip(JOINT_KEYS, (head, thread, length, count, torque, label, strength, pattern), strict=True))
    values = {key: value for key, value in told.items() if value.strip()}
    if not values:
        raise SequencerError("nothing is filled in", "fill in what is right, and leave the rest empty")
    return answer(request, lambda: with_lines(request, desk.correct(where, values, by=said)))
