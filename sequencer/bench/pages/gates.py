"""A torque gate: what is asked, and the reading that closes it."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Form, HTTPException, Request
from markupsafe import Markup
from starlette.responses import RedirectResponse, Response

from sequencer.bench.page import bench_of, by, session_of
from sequencer.bench.pages.answers import answer, step_path
from sequencer.bench.pages.showing import Showing
from sequencer.bench.pages.work import Id, StepName, Time, Words
from sequencer.graph.operations import Op
from sequencer.job.now.gates import gate_joint, is_open
from sequencer.job.now.marks import lacking, marks
from sequencer.job.now.moment import Moment
from sequencer.job.work.figure_words import HAND_TIGHT
from sequencer.job.work.figures import drags
from sequencer.machine.model import Joint
from sequencer.plan.closing.readings import asked_of, fasteners_of, stages_of
from sequencer.plan.closing.tightening import order_of
from sequencer.plan.closing.wrenches import suggestion
from sequencer.quantities import TORQUE_UNITS, AngleQuantity

router = APIRouter()
Number = Annotated[str, Form(max_length=40)]


@router.get("/gate/{operation:path}")
def gate(request: Request, operation: str) -> Response:
    """The gate of one joint: value, stages, order, wrench, and the keypad."""
    bench = bench_of(request)
    moment = bench.desk.moment()
    joint, found = _joint(moment, operation), bench.card(moment, operation, session_of(request).person)
    asked = asked_of(joint) if joint else None
    box = bench.desk.toolbox() if joint else None
    if joint is not None and is_open(joint) and found is not None:
        return bench.show(
            request, "figure.html", moment,
            here="gate", op=operation, station=found[0], card=found[1], fasteners=fasteners_of(joint),
            units=list(TORQUE_UNITS), view=Showing(moment),
        )  # fmt: skip
    if joint is None or asked is None or found is None or not found[1].gate:
        if joint is not None and Op(operation).gate is not None and operation in moment.state.ticks:
            return RedirectResponse(step_path(operation), 303)  # somebody else has closed it meanwhile
        raise HTTPException(404, "This step is not a torque gate.")
    return bench.show(
        request,
        "gate.html",
        moment,
        here="gate",
        op=operation,
        station=found[0],
        card=found[1],
        asked=asked,
        fasteners=fasteners_of(joint),
        left=_left(moment, joint),
        stages=len(stages_of(joint)),
        wrenches=[one.name for one in box.wrenches] if box else [],
        suggested=suggestion(joint, asked.torque, box, date.today()) if box and asked.torque else "",
        unit=asked.torque.unit if asked.torque else "",
        drag=asked.prevailing,
        picture=_picture(moment, joint),
        view=Showing(moment),
    )


@router.post("/gate")
def reading(
    request: Request,
    op: StepName,
    value: Number = "",
    unit: Number = "",
    angle: Number = "",
    wrench: Words = "",
    fasteners: Number = "",
    stages: Number = "",
    source: Words = "",
    by_hand: Words = "",
    drag: Number = "",
    anyway: Words = "",
    id: Id = "",  # noqa: A002 - the form's field
    time: Time = "",
) -> Response:
    """Close a gate by a reading, or say why it is closed without one; or that its nuts drag otherwise."""
    bench = bench_of(request)
    torque = f"{_pointed(value)} {unit}" if value.strip() else None
    said = by(request, id, time)
    if drag.strip():
        return answer(
            request,
            lambda: bench.desk.write(drags(op, f"{_pointed(drag)} {unit}", bench.desk.file), said),
            back=lambda: step_path(op, "gate"),
        )
    return answer(
        request,
        lambda: bench.desk.done(
            [op],
            torque=HAND_TIGHT if by_hand else torque,
            source=source or None,
            angle=angle or None,
            wrench=wrench or None,
            fasteners=fasteners or None,
            stages=stages or None,
            anyway=anyway or None,
            by=said,
        ),
        back=lambda: step_path(op, "gate") if _lacks(bench.desk.moment(), op) else "/",
    )


def _lacks(moment: Moment, operation: str) -> bool:
    """Whether a gate is still short of a stage or a fastener: the next is read where the last was."""
    joint = _joint(moment, operation)
    return joint is not None and operation not in moment.state.ticks and not is_open(joint)


def _pointed(value: str) -> str:
    """A reading as half the world writes it: ``24,5`` is 24.5; ``1,000`` stays, as it may be either."""
    return re.sub(r"^(\d+),(\d{1,2})$", r"\1.\2", value.strip())


def _joint(moment: Moment, operation: str) -> Joint | None:
    if Op(operation).gate is not None:
        return gate_joint(moment, operation)
    return moment.machine.own_joint(Op(operation).subject)


def _left(moment: Moment, joint: Joint) -> list[tuple[int, str, bool]]:
    """The stages that the gate still lacks: number, what is asked, and whether that is an angle."""
    open_ones = lacking(joint, marks(moment.state).get(joint.path, ()))
    stages = stages_of(joint)
    return [(n, stages[n - 1].text, isinstance(stages[n - 1], AngleQuantity)) for n in open_ones]


def _picture(moment: Moment, joint: Joint) -> Markup | None:
    """The order of tightening as a picture; None where nothing tells one."""
    from sequencer.render.pictures.joint import joint_picture

    order = order_of(joint)
    # Every name in it has been escaped where it was drawn.
    return Markup(joint_picture(moment.machine, joint)) if order and order.pictured else None  # noqa: S704
