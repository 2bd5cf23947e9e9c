"""What a plan meets: something in the way, a fastener in trouble, one more target, the turn."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Annotated

from fastapi import APIRouter, Form, HTTPException, Request
from starlette.responses import HTMLResponse, Response

from sequencer.bench.page import bench_of, by
from sequencer.bench.pages.answers import answer
from sequencer.bench.pages.work import Id, StepName, Time, Words
from sequencer.document.jobs.changed import last_change, says_nothing, three_lines
from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, Op, subjects
from sequencer.graph.said import part_words, path_words
from sequencer.job.changes.finds import STATES, Find
from sequencer.job.desk import By, Outcome
from sequencer.job.now.moment import Moment
from sequencer.job.work.clock import by_our_clock
from sequencer.machine.model import Part, Subject
from sequencer.machine.trade.relations import FoundWord, found_words

router = APIRouter()
Name = Annotated[str, Form(max_length=200)]
NEAR = 8
"""Parts that are offered before one has to be named."""


@router.get("/found")
def found(request: Request, op: str = "", part: str = "") -> HTMLResponse:
    """Ask what is in the way, from the step (or the part) that it is in the way of."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    blocked = Op(op).subject or Subject(part)
    if blocked.part not in moment.machine.parts:
        blocked = Subject("")
    part = part_words(moment.machine, blocked.part) if blocked else ""
    return bench.show(
        request,
        "found.html",
        moment,
        here="found",
        op=op,
        blocked=blocked,
        where=blocked.part,
        words=path_words(moment.machine, blocked) if blocked else "",
        near=[(name, part_words(moment.machine, name)) for name in near(moment, blocked.part)],
        parts=sorted((part_words(moment.machine, name), name) for name in moment.machine.parts),
        positions=[(name, place.label) for name, place in moment.machine.positions.items()],
        stands=_stands(moment, op),
        states=STATES,
        choices=[(word.word, said) for word in _choices() if (said := word.asked(part)) is not None],
    )


@router.post("/found")
def add_found(
    request: Request,
    blocks: Name,
    known: Name = "",
    what: Name = "",
    how: Name = "",
    state: Name = "off",
    held: Words = "",
    position: Name = "",
    note: Words = "",
    id: Id = "",  # noqa: A002 - the form's field
    time: Time = "",
) -> Response:
    """Put it into this job's machine file, and plan the rest anew."""
    desk = bench_of(request).desk
    said = by(request, id, time)
    thing = known or what
    if not thing.strip():
        raise SequencerError("nothing says what is in the way", "pick a part, or name it in a few words")
    word = next((word for word in _choices() if word.word == how), _choices()[0])
    find = Find(
        thing,
        {word.word: (blocks if word.joints else Subject(blocks).part,)},
        held=() if known else tuple(_pieces(held)),
        position=position or None,
        note=note,
        state=state,
    )
    return answer(request, lambda: with_lines(request, desk.found(find, _day(said), by=said)))


def _choices() -> list[FoundWord]:
    """What a thing may do to what it is in the way of, the usual first."""
    return [word for _, word in found_words() if word.choice]


@router.get("/trouble")
def trouble(request: Request, joint: str) -> HTMLResponse:
    """What is wrong with a fastener, and the usual ways out."""
    from sequencer.plan.hazards.trouble import states

    bench = bench_of(request)
    moment = bench.desk.moment()
    if moment.machine.own_joint(joint) is None:
        raise HTTPException(404, "The machine has no joint of that name.")
    words = path_words(moment.machine, joint)
    return bench.show(
        request, "trouble.html", moment, here="trouble", joint=joint, words=words, states=states()
    )


@router.post("/trouble")
def add_trouble(
    request: Request,
    joint: Name,
    state: Name,
    id: Id = "",  # noqa: A002
    time: Time = "",
) -> Response:
    """Put the next way out into the plan."""
    desk = bench_of(request).desk
    said = by(request, id, time)
    return answer(request, lambda: with_lines(request, desk.trouble(joint, state, _day(said), by=said)))


@router.post("/also")
def also(request: Request, part: Name, id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """One target more."""
    desk = bench_of(request).desk
    return answer(request, lambda: with_lines(request, desk.also([part], by=by(request, id, time))))


@router.post("/turn")
def turn(request: Request, apart: StepName = "", id: Id = "", time: Time = "") -> Response:  # noqa: A002
    """Begin the reassembly, or take apart again."""
    desk = bench_of(request).desk
    return answer(request, lambda: desk.turn(apart=bool(apart), by=by(request, id, time)))


def near(moment: Moment, part: str) -> list[str]:
    """The parts that are likeliest in its way unseen: the nearest that the file has no word of."""
    if not part:
        return []
    machine, own = moment.machine, moment.machine.parts[part]
    written = {atom.part for need in own.waits for atom in need.any_of}
    gone = subjects(moment.state.done, Kind.REMOVE)
    others = [one for name, one in machine.parts.items() if name not in {part, *written, *gone}]
    return [one.name for one in sorted(others, key=lambda one: _distance(own, one))][:NEAR]


def _distance(one: Part, other: Part) -> tuple[float, bool, bool]:
    """How far apart two parts are: by their boxes in mm where they have some, then by place and subsystem."""
    gaps = [
        sum(
            max(
                float(b.at[axis] - a.at[axis] - a.size[axis]),
                float(a.at[axis] - b.at[axis] - b.size[axis]),
                0.0,
            )
            for axis in range(3)
        )
        for a in one.boxes
        for b in other.boxes
    ]
    return min(gaps, default=0.0), one.position != other.position, one.subsystem != other.subsystem


def with_lines(request: Request, said: Outcome) -> Outcome:
    """What changed, in three lines, before the other words."""
    moment = bench_of(request).desk.moment()
    change = None if said.repeated else last_change(moment)
    if change is None or says_nothing(change):
        return said
    lines = (
        f"{word}: {line}"
        for word, line in zip(("new", "costs", "moved"), three_lines(moment, change), strict=True)
    )
    return Outcome(said.events, (*lines, *said.words), said.ops, said.repeated)


def _day(said: By) -> date:
    return (by_our_clock(said)[0].time or datetime.now()).astimezone().date()


def _pieces(text: str) -> Iterator[str]:
    return (piece.strip() for piece in text.replace("\n", ",").split(",") if piece.strip())


def _stands(moment: Moment, op: str) -> str:
    operation = moment.whole.operations.get(op)
    return operation.position if operation else ""
