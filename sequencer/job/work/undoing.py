"""Taking back: which event is meant, and whether anything that was done later rests on it."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sequencer.graph.operations import Because, Kind, Op
from sequencer.job.journal.edits import EDITS
from sequencer.job.journal.events import Event, EventKind, Recorded
from sequencer.job.journal.state import ACTS, ALONG
from sequencer.job.now.acts import Act, By, Draft, RefusedError, steps_text
from sequencer.job.now.choosing import chosen, named
from sequencer.job.now.gates import gate_joint
from sequencer.job.now.marks import closed, marks
from sequencer.job.now.moment import Moment
from sequencer.machine.model import Subject
from sequencer.plan.onward.present import Direction, Present

STEP_NUMBER = re.compile(r"\d{1,6}")
"""What is a step's number rather than the beginning of an id: ids are shown with eight characters."""

ASKED_ANEW = "opened again: the file has since asked for something else"


def undo(which: str | int | None) -> Act:
    """Take back an act, or a single tick."""

    def act(moment: Moment, by: By) -> Draft:
        draft = Draft()
        target, ops = _to_undo(moment, which, by)
        if target is None:  # a second tap, another device: it is as it was wanted
            draft.words.append(f"{steps_text(moment, ops)}, is not ticked; nothing was taken back")
            return draft
        gone = ops or ops_of(moment, target)
        check_undoable(moment, target, gone)
        draft.add(EventKind.UNDONE, {"event": target.event.id, "ops": list(ops) or None})
        draft.ops, draft.at_any_rate = gone, True
        draft.words.append(f"taken back: {what_it_was(moment, target, gone)}")
        return draft

    return act


def last_act(moment: Moment, device: str) -> Recorded | None:
    """What a bare undo on ``device`` takes back; None where it has done nothing that stands."""
    mine = [one for one in _acts(_standing(moment)) if one.event.device == device]
    return mine[-1] if mine else None


def what_it_was(moment: Moment, target: Recorded, gone: Sequence[str] = ()) -> str:
    """An act in a few words, as it is called before and after it is taken back."""
    ops = gone or tuple(target.event.body.get("ops", ()))
    told = target.event.kind is EventKind.DID
    about = steps_text(moment, ops) if ops and not told else _about(moment, target.event)
    return f"{target.event.kind.value} {about}".rstrip()


_READ = ("torque", "angle", "wear")
"""What may have been read at a step."""


def turned_to(body: Mapping[str, Any]) -> str:
    """Which way a turn goes, and how many steps that is."""
    apart = body.get("direction") == Direction.APART.value
    count = len(body.get("steps", ()))
    way = "taking apart again" if apart else "the reassembly"
    return f"to {way}, {count} step{'' if count == 1 else 's'}"


def _about(moment: Moment, event: Event) -> str:
    """What an act that ticks nothing is about; not its ``text`` where that is its change of the file."""
    body = event.body
    if event.kind is EventKind.TURNED:
        return turned_to(body)
    aims = [*body.get("off", ()), *body.get("reach", ())]
    joint = f"{body['joint']} {body.get('state', '')}".rstrip() if body.get("joint") else ""
    words = body.get("what") or joint or ", ".join(map(str, aims)) or body.get("part") or body.get("text")
    read = ", ".join(str(body[key]) for key in _READ if body.get(key))
    at = f"at {steps_text(moment, (body['op'],))}" if body.get("op") else ""
    return str(words or f"{read} {at}".strip() or body.get("why", ""))


def _standing(moment: Moment) -> list[Recorded]:
    """Every event that stands, in order."""
    return sorted((one for kept in moment.state.kept.values() for one in kept), key=lambda one: one.seq)


def _acts(events: Sequence[Recorded]) -> list[Recorded]:
    return [one for one in events if one.event.kind in ACTS and ALONG not in one.event.body]


def _to_undo(moment: Moment, which: str | int | None, by: By) -> tuple[Recorded | None, tuple[str, ...]]:
    """The event to take back, None for a step without a tick; which of its operations (none: all of it)."""
    if which is None:
        mine = last_act(moment, by.device)
        if mine is None:
            raise RefusedError(
                "this device has done nothing that could be taken back",
                "name the step: undo 5",
                code="nothing-to-undo",
            )
        return mine, ()
    standing = _standing(moment)
    acts = _acts(standing)
    if isinstance(which, int) or STEP_NUMBER.fullmatch(which.strip()):
        return _ticked(moment, standing, *chosen(moment, str(which)))
    found = [one for one in acts if one.event.id.startswith(which.strip().lower())]
    if not found and len(ops := named(moment.state.ticks, moment.machine, which)) == 1:
        return _ticked(moment, standing, ops[0])
    if len(found) != 1 or len(which.strip()) < 4:
        what = "several events begin" if len(found) > 1 else "no event that stands begins"
        raise RefusedError(
            f"{what} with {which!r}", "log shows the ids; give a step's number, or more of the id"
        )
    return found[0], ()


def _ticked(moment: Moment, standing: Sequence[Recorded], op: str) -> tuple[Recorded | None, tuple[str, ...]]:
    """The event that ticked a step, None where it has no tick; and the step, where that ticked others too."""
    tick = moment.state.tick(op)
    if tick is None:
        return None, (op,)
    event = next(one for one in standing if one.event.id == tick.event)
    return event, (op,) if len(event.event.body["ops"]) > 1 else ()


def check_undoable(
    moment: Moment,
    target: Recorded,
    gone: Sequence[str],
    besides: Collection[str] = (),
    anew: Collection[str] = (),
) -> None:
    """See to it that nothing later rests on an act, or is about what it put into the file.

    Args:
        moment: What is so.
        target: The act.
        gone: The operations that are not ticked without it.
        besides: The ids of further events that go with it.
        anew: Parts of which the same is told anew in the same breath: other work on them rests on that.

    Raises:
        RefusedError: It names what goes first.
    """
    fresh = {"/".join(map(str, path[1::2])) for path in _added(target) if len(path) % 2 == 0}
    known = [op for op in map(Op, gone) if fresh.isdisjoint({op.part, op.subject})]
    _check_nothing_rests_on(moment, target, known, anew)
    _check_not_worked_on(moment, target, besides)


def _check_nothing_rests_on(
    moment: Moment, target: Recorded, gone: Sequence[str], anew: Collection[str]
) -> None:
    """Refuse where something later would be impossible without what is taken back; it names what goes first.

    Raises:
        RefusedError: What rests on it goes first, the last first.
    """
    state = moment.state
    if target.event.kind is EventKind.TURNED:
        later = [
            one for kind in (EventKind.DONE, EventKind.SKIPPED, EventKind.TURNED) for one in state.of(kind)
        ]
        after = max((one for one in later if one.seq > target.seq), key=lambda one: one.seq, default=None)
        if after is not None:
            ops = tuple(after.event.body.get("ops", ()))
            what = f": {steps_text(moment, ops)}" if ops else ""
            raise RefusedError(
                f"work that came after the turn rests on it{what}",
                f"take that back first, the last first: undo {after.event.id[:8]}",
                code="rests-on-it",
            )
    ticks = {**state.ticks, **state.skipped}
    if state.turned and any(op in ticks and not ticks[op].back for op in map(Op, gone)):
        turn = state.of(EventKind.TURNED)[-1]
        raise RefusedError(
            "the turn to the reassembly rests on it",
            f"take that back first: undo {turn.event.id[:8]}",
            code="rests-on-it",
        )
    resting = [op for op in rests_on(moment, gone) if Op(op).part not in anew]
    if resting:
        verb = "rests" if len(resting) == 1 else "rest"
        first = state.number(resting[-1]) or resting[-1]
        raise RefusedError(
            f"{steps_text(moment, resting)}{',' * (len(resting) == 1)} {verb} on it",
            f"take that back first{', the last first' * (len(resting) > 1)}: undo {first}",
            code="rests-on-it",
        )


def rests_on(moment: Moment, gone: Sequence[str]) -> tuple[str, ...]:
    """The ticks, both ways, that could not have been made without ``gone``, in the order in which they were.

    One that was made against the file rests on nothing, and one that could not have been made as the file is
    now (something was found since) rests on what it rested on then.
    """
    state = moment.state
    if not gone:
        return ()
    ways = [op for op in state.ticks if state.ticks[op].back is state.turned]
    skipped: dict[str, str] = {op: tick.why or "" for op, tick in state.skipped.items()}
    full = replace(moment.present, skipped=skipped, **_done(moment, ()))
    less = replace(full, skipped={op: why for op, why in skipped.items() if op not in gone})
    resting: list[str] = []
    begun = any(op in skipped for op in gone)
    for op in ways:
        begun = begun or op in gone
        if op in gone:
            pass
        elif (
            begun and not state.ticks[op].anyway and not moment.why_not(op, full) and _needs(moment, op, less)
        ):
            resting.append(op)
        else:
            less = replace(less, **_done(moment, (*_of(moment, less), op)))
        full = replace(full, **_done(moment, (*_of(moment, full), op)))
    return tuple(resting)


def _needs(moment: Moment, op: str, present: Present) -> bool:
    """Whether something known is in front of a step; an order that is merely kept is nothing to rest on."""
    return any(reason.kind is not Because.KEPT for reason in moment.why_not(op, present))


def _of(moment: Moment, present: Present) -> tuple[str, ...]:
    return present.back if moment.state.turned else present.done


def _done(moment: Moment, ops: tuple[str, ...]) -> dict[str, Any]:
    """What of a ``Present`` says that ``ops`` of the way that the job goes at present are done."""
    return {"back": ops} if moment.state.turned else {"done": ops}


def with_it(moment: Moment, target: Recorded) -> list[Recorded]:
    """An act with the events that came along with it and stand."""
    own = target.event.id
    return [one for one in _standing(moment) if own in (one.event.id, one.event.body.get(ALONG))]


def ops_of(moment: Moment, target: Recorded) -> tuple[str, ...]:
    """All that an act has ticked or skipped, what came along with it included."""
    return tuple(op for one in with_it(moment, target) for op in one.event.body.get("ops", ()))


def _check_not_worked_on(moment: Moment, target: Recorded, besides: Collection[str]) -> None:
    """Refuse to take back what put something into the file once work was done on that, or more said of it."""
    added = {str(path[-1]): path for path in _added(target)}
    own = {*besides, *(one.event.id for one in with_it(moment, target))}
    for one in _standing(moment):
        edits = one.event.body.get(EDITS, ()) if one.seq > target.seq and one.event.id not in own else ()
        if any(_speaks_of(edit, path) for edit in edits for path in added.values()):
            raise RefusedError(
                f"what was said later is about it: {what_it_was(moment, one)}",
                f"take that back first: undo {one.event.id[:8]}",
                code="rests-on-it",
            )
    for op, tick in moment.state.ticks.items():
        if tick.event in own:
            continue
        part = op.part
        found = added.get(op.joint) or added.get(part)
        if found is not None and (found[:2] == ["parts", part] or op.kind is Kind.TASK):
            raise RefusedError(
                f"{steps_text(moment, (op,))}, rests on it",
                f"take that back first: undo {moment.state.number(op) or op}",
                code="rests-on-it",
            )


def _added(target: Recorded) -> list[Sequence[Any]]:
    """The paths of what an act put into the file."""
    return [path for what, path, _, _ in target.event.body.get(EDITS, ()) if what == "add"]


def _speaks_of(edit: Sequence[Any], added: Sequence[str]) -> bool:
    """Whether a change is of something that another one added, or names it."""
    _, path, value, _ = edit
    if list(path[: len(added)]) == list(added):
        return True
    names = [value] if isinstance(value, str) else list(value) if isinstance(value, dict) else []
    return len(added) == 2 and any(Subject(name).part == added[1] for name in map(str, names))


def reopened(moment: Moment) -> list[str]:
    """Ticked gates that what stands closes no longer, as the file has since asked for something else.

    One that is closed off already is not among them: it stays ticked, and open on the record.
    """
    if not moment.state.turned:
        return []
    said = marks(moment.state)
    return [
        op
        for op, tick in moment.state.ticks.items()
        if tick.back
        and (joint := gate_joint(moment, op)) is not None
        and joint.torque is not None
        and not closed(joint, said.get(joint.path, ()))
        and not rests_on(moment, (op,))
    ]


def seen_to(moment: Moment, _by: By) -> Draft:
    """No act of a person: the plan is seen to, and gates that the file has opened again."""
    draft = Draft(at_any_rate=True)
    for op in reopened(moment):
        body = {"event": moment.state.ticks[Op(op)].event, "ops": [op], "why": ASKED_ANEW}
        draft.add(EventKind.UNDONE, body)
    return draft
