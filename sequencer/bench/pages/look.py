"""Looking: how far the job is, what stands open, the diagram, a part, the log, a photo."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from markupsafe import Markup
from starlette.responses import FileResponse, HTMLResponse

from sequencer.bench.page import bench_of, session_of
from sequencer.bench.pages.answers import step_path
from sequencer.bench.pages.evening import evening_of
from sequencer.bench.pages.picture import picture_of
from sequencer.bench.pages.showing import Showing
from sequencer.critic import findings_of_job
from sequencer.document.barring.barring_words import clause_words
from sequencer.document.evenings.sittings import left_words
from sequencer.document.jobs.log_lines import event_text
from sequencer.document.jobs.open_ends import stands_open
from sequencer.document.jobs.ribbon import ribbon_of
from sequencer.document.plans.critic import head_lines
from sequencer.document.steps.not_known import order_words
from sequencer.document.steps.renewing import renew_lines
from sequencer.graph.operations import Clause, Kind, Operation
from sequencer.graph.said import joint_words, part_words, path_words, sentence
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.replay import Struck
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import status
from sequencer.machine.called import name_of

router = APIRouter()
LOG_AT_ONCE = 100
NOTES_AT_ONCE = 20
_PHOTO = re.compile(r"[0-9a-f-]{36}\.jpg")


@router.get("/overview")
def overview(request: Request) -> HTMLResponse:
    """How far, time left, what is off, drained, open, bagged, and what to mind before you leave."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    return bench.show(
        request,
        "overview.html",
        moment,
        here="overview",
        view=Showing(moment),
        **overview_of(moment, session_of(request).person),
    )


def overview_of(moment: Moment, person: str) -> dict[str, Any]:
    """What the overview's page says of a job."""
    told = status(moment, person)
    noted = moment.state.of(EventKind.NOTE)
    machine = moment.machine
    work = _operations(moment)
    renew, experience = renew_lines(machine, work, [op.name for op in work], moment.jobs)

    def joints(paths: tuple[str, ...]) -> list[str]:
        return [path_words(machine, path) for path in paths]

    return {
        "told": told,
        **evening_of(moment, person),
        "leaving": told.leaving,
        "off": [(name, part_words(machine, name)) for name in told.off],
        "moved": [(name, part_words(machine, name)) for name in told.moved],
        "drained": [name_of(name, machine.fluids[name].label) for name in told.fluids],
        "openings": [stands_open(machine, path) for path in told.openings],
        "gates": joints(told.gates),
        "figures": joints(told.figures),
        "bags": [(bag.number, joints((bag.joint,))[0]) for bag in told.bags],
        "renew": renew,
        "experience": experience,
        "known": order_words(moment.plan),
        "kept": bool(machine.taken_apart.order),
        "odd": head_lines(machine, findings_of_job(machine, work)),
        "mind": left_words(machine, told.leaving.loose),
        "ribbon": ribbon_of(moment),
        "notes": [one.event for one in noted[-NOTES_AT_ONCE:]],
        "notes_before": max(len(noted) - NOTES_AT_ONCE, 0),
    }


def _operations(moment: Moment) -> list[Operation]:
    """All that the job has done, and has still to do."""
    names = dict.fromkeys((*moment.state.done, *(op for _, op in moment.state.left)))
    return [moment.whole.operations[name] for name in names if name in moment.whole.operations]


@router.get("/diagram")
def diagram(request: Request) -> HTMLResponse:
    """What blocks what: to be dragged and zoomed; a tap says why a thing is in the way, and where it is."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    return bench.show(request, "diagram.html", moment, here="diagram", **_diagram(moment))


def _diagram(moment: Moment) -> dict[str, Any]:
    found = picture_of(moment)
    picture = Markup(found.svg)  # noqa: S704 - drawn by our own views, which escape every name
    return {"picture": picture, "diagram": found}


@router.get("/beside", include_in_schema=False)
def beside(request: Request) -> HTMLResponse:
    """What a wide screen shows beside the station: the diagram, and the order of work."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    return bench.piece("beside.html", view=Showing(moment), ribbon=ribbon_of(moment), **_diagram(moment))


@router.get("/part/{name}")
def part(request: Request, name: str) -> HTMLResponse:
    """One part: why it has to move, what holds it, what is still to do on it."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    if name not in moment.machine.parts:
        raise HTTPException(404, "The machine has no part of that name.")
    found, graph, machine = moment.machine.parts[name], moment.whole, moment.machine
    touching = [graph.operations[op] for op in graph.touching.get(name, ())]
    left = {op for _, op in moment.state.left}
    steps = [
        (op.name, sentence(machine, op), step_path(op.name), _standing(moment.state.ticks, op.name, left))
        for op in touching
        if op.name in left or op.name in moment.state.ticks
    ]
    waits = {
        words: str(clause.reason.place)
        for op in touching
        for clause in graph.needs[op.name]
        if op.kind is not Kind.CRACK and (words := clause_words(machine, clause, graph.operations, of=name))
    }
    return bench.show(
        request,
        "part.html",
        moment,
        here="part",
        name=part_words(machine, name),
        steps=steps,
        why=_why(request, name),
        waits=waits,
        joints=[(f"{name}/{joint}", joint_words(machine, name, joint)) for joint in found.joints],
        part=name,
        can_add=not moment.state.turned and Kind.REMOVE.of(name) not in {*left, *moment.state.ticks},
        view=Showing(moment),
        op=Kind.REMOVE.of(name),
    )


def _standing(ticks: object, op: str, left: Collection[str]) -> str:
    return "still to do" if op in left else "done" if isinstance(ticks, dict) and op in ticks else ""


def _why(request: Request, name: str) -> list[str]:
    """The shortest chain from what the job is for to this part, in words."""
    from sequencer.graph import goals
    from sequencer.graph.chain import why

    moment = bench_of(request).desk.moment()
    order = [*moment.state.done, *(op for _, op in moment.state.left)]
    order = [op for op in order if op in moment.whole.operations]
    chain = why(moment.whole, goals(moment.whole, moment.targets), order, name)
    view = Showing(moment)
    clauses = ((link.later, Clause((link.earlier,), link.reason)) for link in chain)
    waits = ((op, clause_words(moment.machine, one, moment.whole.operations, of="")) for op, one in clauses)
    return [f"{view.words(op)}: {words}" for op, words in waits]


@router.get("/record")
def record(request: Request) -> HTMLResponse:
    """Every joint with a torque: asked, read, by whom, with what is open on top."""
    from sequencer.document.jobs.record import asked_words, bench_lines, mark_words
    from sequencer.job.reports.record import torque_record

    bench = bench_of(request)
    moment = bench.desk.moment()
    entries = [
        (
            path_words(moment.machine, one.joint),
            one,
            [mark_words(moment, one.joint, mark) for mark in one.marks],
            asked_words(one),
        )
        for one in torque_record(moment)
    ]
    lists = bench_lines(moment)
    return bench.show(
        request, "record.html", moment, here="record", entries=entries, lists=lists, view=Showing(moment)
    )


@router.get("/log")
def log(request: Request, before: int | None = None) -> HTMLResponse:
    """What has happened, the newest first."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    events = bench.desk.log()
    struck, known = Struck.of(events), {one.event.id: one.event for one in events}
    older = [one for one in events if before is None or one.seq < before]
    shown = older[-LOG_AT_ONCE:]
    rows = [
        (one.event, event_text(moment, one.event, known), struck.what_stands(one.event) is None)
        for one in reversed(shown)
    ]
    return bench.show(
        request,
        "log.html",
        moment,
        here="log",
        rows=rows,
        earlier=shown[0].seq if len(older) > len(shown) else None,
    )


@router.get("/photo/{file}")
def photo(request: Request, file: str) -> FileResponse:
    """A photo of this job."""
    folder = bench_of(request).desk.folder.photos
    if not _PHOTO.fullmatch(file) or not (folder / file).is_file():
        raise HTTPException(404, "This job has no such photo.")
    headers = {
        "Content-Security-Policy": "default-src 'none'; sandbox",
        "Cache-Control": "private, max-age=86400, immutable",
    }
    return FileResponse(folder / file, media_type="image/jpeg", headers=headers)
