"""What has to be so at a job after any act whatever, and how a job is brought to its end."""

import io
import re
from collections import defaultdict
from datetime import timedelta

from rich.console import Console

from sequencer.bench.pages.look import overview_of
from sequencer.document.barring.progress import barring_now
from sequencer.document.jobs.curing import cure_lines
from sequencer.document.jobs.log_lines import event_text
from sequencer.document.jobs.record import record_document
from sequencer.document.underway.going_on import next_document
from sequencer.document.underway.standing import status_document
from sequencer.job.desk import By
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.replay import Replay
from sequencer.job.now.closing import TypedReading
from sequencer.job.now.given import undone_joints
from sequencer.job.reports.record import CLOSED, torque_record
from sequencer.job.reports.status import leaving, status
from sequencer.job.reports.whereabouts import where
from sequencer.job.work import ticking
from sequencer.job.work.curing import CuringError, curing
from sequencer.plan.closing.readings import asked_of, fasteners_of, stages_of
from sequencer.render.data.jobs.job import next_json, status_json
from sequencer.render.terminal import show
from tests.support.profile import counts

PAGES_EVERY = counts(quick=15, nightly=9)
OPENS = ("undo", "slacken", "crack", "drain")
FASTENS = ("fasten", "tighten", "retighten")
COMES_OFF = {"remove": "fit", "undo": "fasten"}


def gate_at(op):
    """The joint whose gate a step is, a drain's plug as `oil/plug`; empty for any other step."""
    word, _, subject = op.partition(" ")
    return {"torque": subject, "close": f"{subject}/plug"}.get(word, "")


def joint_of(machine, op):
    part, _, joint = (gate_at(op) or op.partition(" ")[2]).partition("/")
    if joint == "plug" and part in machine.fluids:
        return machine.fluids[part].plug
    own = machine.parts.get(part)
    return own.joints.get(joint) if own else None


def asked(moment, op):
    """The readings that a step asks for: those of a gate are exactly what the file says."""
    if not gate_at(op):
        return {}
    words = words_for(joint_of(moment.machine, op))
    return {**words, "fasteners": "all", "stages": "all"} if words else {}


def words_for(joint, stages=None):
    """Exactly what these stages of a joint ask for, or all of them; nothing where it has no such stage."""
    wanted = asked_of(joint, stages) if joint and joint.torque else None
    torque = {"torque": wanted.torque.text} if wanted and wanted.torque else {}
    return {**torque, **({"angle": "yes"} if wanted and wanted.degrees is not None else {})}


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
    gone = {op: n for n, op in before.left if op not in left | set(after.ticks) | set(after.skipped)}
    told = " ".join(said.words)
    changed = after.of(EventKind.CHANGED)[-1].event.body.get("dropped", ())
    for op, number in gone.items():
        assert re.search(rf"(?<!\d){number}, ", told) or op in changed, (op, told)


def check_all(job):
    """Every invariant of a job, each with what it found."""
    moment = job.desk.moment()
    check_replay(job)
    check_next(job, moment)
    check_gates(moment)
    check_bags(job, moment)
    if job.acts % 3 == 0:
        check_views(job, moment)
    if job.acts % PAGES_EVERY == 0:
        job.phone.look()


def check_replay(job):
    fresh = Replay()
    fresh.take(job.desk.log())
    assert fresh.state() == job.desk.state()


def check_next(job, moment):
    """Bare `done` on what `next` shows, lists ticked, is accepted, or waits for a cure that it shows too."""
    ops, words = bare(moment)
    assert [op for _, op in moment.state.left] == [step.operation.name for step in moment.plan.steps]
    if not ops:
        return
    last = next(reversed(tuple(moment.state.ticks.values())), None)
    by = By("Ann", last.device if last else "a", time=job.now)
    selection = ops if words else None
    prepared = tuple(text for one in moment.bench_lists(ops).values() for text in one)
    try:
        told = TypedReading(**words, box=job.desk.toolbox(), prepared=prepared)
        ticking.done(selection, told, None)(moment, by)
    except CuringError as waits:
        found = [cure for cure in curing(moment, job.now) if cure.until == waits.until]
        assert found
        assert {op for cure in found for op in cure.holds} & set(ops)
        assert any("cures until" in line for line in cure_lines(moment, job.now))


def check_bags(job, moment):
    """What is undone lies in the bag that it was put into then, and no two in one."""
    undone = undone_joints(moment.state.done)
    lying = {path: moment.bags[path].number if path in moment.bags else None for path in undone}
    assert {path: job.lying.get(path, number) for path, number in lying.items()} == lying
    job.lying = lying
    filled = [number for number in lying.values() if number is not None]
    assert len(set(filled)) == len(filled)


def check_gates(moment):
    """A gate is closed exactly if a standing reading on a standing fastening says so."""
    closed = standing_gates(moment)
    for entry in torque_record(moment):
        once = entry.state == CLOSED or (entry.again and "overridden" not in entry.why)  # though due again
        assert once == (entry.joint in closed), (entry, closed)


def standing_gates(moment):
    """The joints at their torque, told from the events one by one: each stage read, for each fastener."""
    standing = {one.event.id for kept in moment.state.kept.values() for one in kept}
    ops_of, read, forced = {}, defaultdict(list), set()
    for one in moment.state.history:
        event, body = one.event, one.event.body
        ops_of[event.id] = body.get("ops") or ()
        opening = OPENS if event.kind is EventKind.DONE else ()
        ops = ops_of[event.id]
        if event.kind is EventKind.UNDONE:
            opening, ops = FASTENS, body.get("ops") or ops_of[body["event"]]
        elif event.id not in standing:
            continue
        for op in ops:
            word, _, path = op.partition(" ")
            if word in opening:
                path = f"{path}/plug" if word == "drain" else path
                read.pop(path, None)
                forced.discard(path)
            elif gate_at(op) and event.kind is EventKind.DONE and body.get("anyway"):
                forced.add(gate_at(op))
        if event.kind is EventKind.MEASURED and gate_at(body.get("op", "")):
            read[gate_at(body["op"])].append(body)
    return {path for path in read if path not in forced and whole(moment, path, read[path])}


def whole(moment, path, bodies):
    """Whether readings that say exactly what the file asks leave nothing of a gate open."""
    joint = joint_of(moment.machine, f"torque {path}")
    cells = {
        (stage, name)
        for body in bodies
        if not body.get("problem")
        and {key: body[key] for key in ("torque", "angle") if key in body} == words_for(joint, body["stages"])
        for stage in body["stages"]
        for name in body["fasteners"]
    }
    return joint and cells >= {(n + 1, f) for n in range(len(stages_of(joint))) for f in fasteners_of(joint)}


def check_views(job, moment):
    """Whatever can be asked of a job is answered."""
    check_moment(moment)
    out = Console(file=io.StringIO(), width=80)
    show(record_document(moment, torque_record(moment)), out)
    log = job.desk.log()
    known = {one.event.id: one.event for one in log}
    for one in log[-3:]:
        event_text(moment, one.event, known)


def check_moment(moment):
    """Whatever can be asked of a job at one moment is answered."""
    out = Console(file=io.StringIO(), width=80)
    told = status(moment, "Ann")
    show(status_document(told, moment), out)
    status_json(told)
    show(next_document(moment, 2), out)
    next_json(moment)
    torque_record(moment)
    leaving(moment, "Ann")
    overview_of(moment, "Ann")
    barring_now(moment)
    for part in list(moment.machine.parts)[:3]:
        where(moment, part)


def finish(job):
    """Bring the job to its end by nothing but `next` and bare `done`: all that came off is back then."""
    desk = job.desk
    if desk.moment().sight.word:
        desk.restore()
    for _ in range(1000):
        moment = desk.moment()
        ops, words = bare(moment)
        job.now += timedelta(seconds=30)
        by = By("Ann", "a", time=job.now)
        if ops:
            try:
                desk.done(ops, by=by, prepared=True, **words)
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
