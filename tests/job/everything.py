"""What has to be so at a job after any act whatever, and how a job is brought to its end."""

import asyncio
import io
import re
from datetime import timedelta

import httpx
from rich.console import Console

from sequencer.bench.address import address
from sequencer.bench.app import page
from sequencer.bench.pairing import Sessions
from sequencer.document.curing import cure_lines
from sequencer.graph.operations import Kind
from sequencer.job import ticking
from sequencer.job.closing import Told
from sequencer.job.curing import CuringError, curing
from sequencer.job.desk import By
from sequencer.job.events import EventKind
from sequencer.job.record import CLOSED, torque_record
from sequencer.job.replay import Replay
from sequencer.job.status import leaving, status
from sequencer.job.whereabouts import where
from sequencer.plan.readings import asked_of
from sequencer.render.data.job import next_json, status_json
from sequencer.render.job_log import event_text
from sequencer.render.job_text import print_next, print_status
from sequencer.render.record import print_record
from tests.support.profile import counts

HERE = address(lan=False, port=8765)
PAGES = ("/", "/overview", "/record", "/log")
PAGES_EVERY = counts(quick=15, nightly=9)
OK = 200
COMES_OFF = {"remove": "fit", "undo": "fasten"}


def joint_of(machine, op):
    part, _, joint = op.partition(" ")[2].partition("/")
    return machine.parts[part].joints[joint]


def asked(moment, op):
    """The readings that a step asks for: those of a gate are exactly what the file says."""
    if not op.startswith(f"{Kind.TORQUE.value} "):
        return {}
    wanted = asked_of(joint_of(moment.machine, op))
    words = {"torque": wanted.torque.text} if wanted.torque else {}
    turned = {"angle": "yes"} if wanted.degrees is not None else {}
    return {**words, **turned, "fasteners": "all", "stages": "all"}


def bare(moment):
    """What `next` shows, up to its first gate, and the readings that this one asks for."""
    ops = []
    for step in moment.station.steps if moment.station else ():
        ops.append(step.operation.name)
        if words := asked(moment, step.operation.name):
            return ops, words
    return ops, {}


def check_told(before, after, said):
    """Nothing leaves the plan without a word in the answer."""
    if after.turned is not before.turned:
        return
    left = {op for _, op in after.left}
    gone = [op for _, op in before.left if op not in left | set(after.ticks) | set(after.skipped)]
    told = " ".join(said.words)
    changed = after.of(EventKind.CHANGED)[-1].event.body.get("dropped", ())
    for op in gone:
        assert re.search(rf"{re.escape(op)}(?![\w/-])", told) or op in changed, (op, told)


def check_all(job):
    """Every invariant of a job, each with what it found."""
    moment = job.desk.moment()
    check_replay(job)
    check_next(job, moment)
    check_gates(moment)
    if job.acts % 3 == 0:
        check_views(job, moment)
    if job.acts % PAGES_EVERY == 0:
        check_pages(job)


def check_replay(job):
    fresh = Replay()
    fresh.take(job.desk.log())
    assert fresh.state() == job.desk.state()


def check_next(job, moment):
    """Bare `done` on what `next` shows is accepted, or waits for a cure that `next` shows too."""
    ops, words = bare(moment)
    assert [op for _, op in moment.state.left] == [step.operation.name for step in moment.plan.steps]
    if not ops:
        return
    last = next(reversed(tuple(moment.state.ticks.values())), None)
    by = By("Ann", last.device if last else "a", time=job.now)
    selection = ops if words else None
    try:
        ticking.done(selection, Told(**words), None)(moment, by)
    except CuringError as waits:
        found = [cure for cure in curing(moment, job.now) if cure.until == waits.until]
        assert found
        assert {op for cure in found for op in cure.holds} & set(ops)
        assert any("cures until" in line for line in cure_lines(moment, job.now))


def check_gates(moment):
    """A gate is closed exactly if a standing reading on a standing fastening says so."""
    closed = standing_gates(moment)
    for entry in torque_record(moment):
        assert (entry.state == CLOSED) == (entry.joint in closed), (entry, closed)


def standing_gates(moment):
    """The joints at their torque, told from the events one by one: fastened, read, and not opened since."""
    read, closed = {}, set()
    events = sorted(
        (one for kind in (EventKind.DONE, EventKind.MEASURED) for one in moment.state.of(kind)),
        key=lambda one: one.seq,
    )
    for one in events:
        body = one.event.body
        if one.event.kind is EventKind.MEASURED:
            read[body["op"]] = (body.get("torque"), body.get("angle"))
        for op in body.get("ops", ()):
            word, _, path = op.partition(" ")
            if word in ("undo", "slacken", "crack"):
                closed.discard(path)
                read.pop(f"torque {path}", None)
            elif word == "torque" and not body.get("anyway"):
                closed.add(path)
    return {path for path in closed if read.get(f"torque {path}") in exact(moment, f"torque {path}")}


def exact(moment, gate):
    words = asked(moment, gate)
    return [(words.get("torque"), words.get("angle"))]


def check_views(job, moment):
    """Whatever can be asked of a job is answered."""
    check_moment(moment)
    out = Console(file=io.StringIO(), width=80)
    print_record(moment, torque_record(moment), out)
    log = job.desk.log()
    known = {one.event.id: one.event for one in log}
    for one in log[-3:]:
        event_text(moment, one.event, known)


def check_moment(moment):
    """Whatever can be asked of a job at one moment is answered."""
    out = Console(file=io.StringIO(), width=80)
    told = status(moment, "Ann")
    print_status(told, moment, out)
    status_json(told)
    print_next(moment, out, 2)
    next_json(moment)
    torque_record(moment)
    leaving(moment)
    for part in list(moment.machine.parts)[:3]:
        where(moment, part)


def check_pages(job):
    """The page's pages answer, from a desk of their own."""
    sessions = Sessions(job.folder / "devices.json")
    cookie = sessions.pair(sessions.invite(), "phone", "Bo")
    asyncio.run(_ask(page(job.desk.folder.path, sessions, HERE), f"{sessions.cookie}={cookie}"))


async def _ask(app, cookie):
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url=HERE.url) as client:
        for path in PAGES:
            answer = await client.get(path, headers={"Cookie": cookie})
            assert answer.status_code == OK, (path, answer.text[:400])


def finish(job):
    """Bring the job to its end by nothing but `next` and bare `done`: all that came off is back then."""
    desk = job.desk
    for _ in range(1000):
        moment = desk.moment()
        ops, words = bare(moment)
        job.now += timedelta(seconds=30)
        by = By("Ann", "a", time=job.now)
        if ops:
            try:
                desk.done(ops, by=by, **words)
            except CuringError as waits:
                job.now = waits.until
        elif moment.state.turned or not (moment.present.done or moment.present.owed):
            break
        else:
            desk.turn(by=by)
    moment = desk.moment()
    assert not moment.plan.steps
    if not moment.state.turned:
        return
    settled = {*moment.state.ticks, *moment.state.skipped, *moment.left_out}
    for op in moment.state.done:
        word, _, subject = op.partition(" ")
        if word in COMES_OFF and op in moment.whole.operations:
            assert f"{COMES_OFF[word]} {subject}" in settled, op
    against = any(tick.anyway for tick in moment.state.ticks.values()) or moment.state.skipped
    assert against or not moment.left_out
    check_all(job)
