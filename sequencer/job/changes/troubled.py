"""A joint that does not come undone: one way out after the other comes into the plan, the gentlest first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.changes.finds import free_name, put_into
from sequencer.job.changes.replanning import add_new_plan
from sequencer.job.journal.edits import EDITS, Edit, MachineFile
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError, refused
from sequencer.job.now.moment import Moment
from sequencer.machine.called import joint_called
from sequencer.machine.edit.emit import plain
from sequencer.machine.model import Joint, Machine, Part
from sequencer.machine.trade.relations import UNDO, barring
from sequencer.plan.closing.soak import Soak
from sequencer.plan.hazards.trouble import SOURCE, Freeing, next_way, ways_out
from sequencer.plan.onward.present import Direction
from sequencer.plan.resume import RESHUFFLE_SECONDS
from sequencer.wording import capital, clause


def trouble(
    where: str,
    state: str,
    file: MachineFile,
    on: date,
    reshuffle: Fraction = RESHUFFLE_SECONDS,
    *,
    way: str | None = None,
    count: int = 1,
) -> Act:
    """Keep what is wrong with a joint, and put the next way out of it into file and plan.

    Args:
        where: ``part/joint``.
        state: A word of ``trouble.states()``.
        file: This job's machine file.
        on: The day.
        way: The way out that is wanted; None: the gentlest that has not been tried.
        count: How many of the joint's fasteners are in trouble.
        reshuffle: As for a new plan.
    """

    def act(moment: Moment, _by: By) -> Draft:
        joint = joint_named(moment.machine, where)
        _refuse_odd(moment, joint, count)
        ways = ways_out(moment.machine, joint, state, count)
        tried = tried_on(moment, joint.path)
        chosen = _chosen(ways, tried, way, joint, state)
        task = _task_name(moment, joint, chosen)
        edits = _edits(moment.machine, joint, chosen, state, on, count, task)
        draft = Draft()
        sight, text = put_into(draft, file, edits)
        kept = {"joint": joint.path, "state": state, "way": chosen.name, "wait": float(chosen.wait_seconds)}
        draft.add(EventKind.TROUBLE, {**kept, EDITS: [list(edit) for edit in edits], "text": text})
        soak = Soak(
            Kind.TASK.of(task),
            tuple(kind.of(joint.path) for kind in (Kind.CRACK, Kind.SLACKEN, Kind.UNDO)),
            chosen.wait_seconds,
        )
        change = add_new_plan(
            draft, moment, f"{joint.path} is {state}", sight=sight, reshuffle=reshuffle, soak=soak
        )
        if soak.task not in change.new:
            draft.words.append(
                f"nothing that is left to do needs {joint.path} undone: this is kept, and no step comes of it"
            )
        draft.words += _words(chosen, ways, tried)
        return draft

    return act


def _refuse_odd(moment: Moment, joint: Joint, count: int) -> None:
    """Nothing can be stuck that is undone, nor more of a joint's fasteners than it has."""
    if moment.present.direction is Direction.APART and Kind.UNDO.of(joint.path) in moment.present.done:
        raise RefusedError(
            f"{joint.path} is undone already", "what comes to light on the way back: say it after turn"
        )
    if not 1 <= count <= joint.count:
        problem = f"{joint.path} has {joint.count} of them, not {count}"
        raise RefusedError(problem, "leave --count out for one", code="too-many")


def joint_named(machine: Machine, where: str) -> Joint:
    """The joint that ``where`` names: ``part/joint``, or in words.

    Raises:
        RefusedError: There is none, with what was probably meant.
    """
    try:
        return joint_called(machine, where)
    except SequencerError as fault:
        raise refused(fault) from None


def tried_on(moment: Moment, path: str) -> tuple[str, ...]:
    """The ways that have been taken with a joint so far, in order."""
    bodies = (one.event.body for one in moment.state.of(EventKind.TROUBLE))
    return tuple(str(body["way"]) for body in bodies if body.get("joint") == path and body.get("way"))


def _chosen(
    ways: Sequence[Freeing], tried: Sequence[str], wanted: str | None, joint: Joint, state: str
) -> Freeing:
    names = [way.name for way in ways]
    if wanted is None:
        found = next_way(ways, tried)
        if found is None:
            barred = [f"{way.name}: {way.barred}" for way in ways if way.barred and way.name not in tried]
            raise RefusedError(
                f"there is no usual way left for {joint.path} {state}",
                "; ".join(barred) or "put it down as a note, and ask somebody who has done it",
            )
        return found
    if wanted not in names:
        raise RefusedError(
            f"{wanted!r} is not a usual way for {joint.path} {state}", f"there are {', '.join(names)}"
        )
    found = ways[names.index(wanted)]
    if found.barred is not None:
        raise RefusedError(
            f"{wanted} on {joint.path}: {clause(found.barred)}", "take a way without heat and sparks"
        )
    return found


def _task_name(moment: Moment, joint: Joint, way: Freeing) -> str:
    """A name of its own for each time that a way is taken; none that a step of this job has had."""
    machine = moment.machine
    ticked = (op.subject for op in (*moment.state.ticks, *moment.state.skipped) if op.kind is Kind.TASK)
    taken = (*machine.parts, *machine.tasks, *machine.fluids, *ticked)
    return free_name(f"{way.name}-{joint.part}-{joint.name}", taken)


def _edits(
    machine: Machine, joint: Joint, way: Freeing, state: str, on: date, count: int, name: str
) -> list[Edit]:
    """The way out as a task before the joint; and, where it spoils the fastener, a new one."""
    part = machine.parts[joint.part]
    wait = f"; leave it {float(way.wait_seconds / 60):g} min, go on elsewhere" if way.wait_seconds else ""
    task: dict[str, Any] = {
        "label": f"{way.label}{wait}",
        # A file without positions has one that nobody may name; tasks are done at the first anyway.
        **({"from": joint.position} if len(machine.positions) > 1 else {}),
        "time": f"{float(way.seconds):g} s",
        "before": [joint.path],
        "caution": list(way.cautions),
        "note": f"{joint.path} {state}, {on.isoformat()}. It takes {', '.join(way.tools)} ({SOURCE}).",
    }
    in_front = [plain(need) for need in (*part.to_reach, *joint.waits)]
    if in_front:
        task[barring(UNDO).key] = [one for number, one in enumerate(in_front) if one not in in_front[:number]]
    comment = f"{joint.path} {state} on the job, {on.isoformat()}"
    edits: list[Edit] = [["add", ["tasks", name], task, comment]]
    if way.spoils:
        edits.append(_renewed(part, joint, count, comment))
    return edits


def _renewed(part: Part, joint: Joint, count: int, comment: str) -> Edit:
    """New fasteners for those that are spoilt: however many ways were tried on them, each is renewed once."""
    item = f"{capital(joint.kind)} for {joint.path}: the old one is spoilt"
    path = ["parts", joint.part, "renew"]
    known = next((one.count for one in part.renew if one.item == item), None)
    whole = {"item": item, "count": max(count, known or 0)}
    if known is not None and known < count:
        return ["instead", path, whole, {"item": item, "count": known}]
    return ["entry", path, whole, comment]


def _words(chosen: Freeing, ways: Sequence[Freeing], tried: Sequence[str]) -> list[str]:
    words = [f"caution: {clause(text)}" for text in chosen.cautions]
    after = next_way(ways, [*tried, chosen.name])
    if after is not None:
        words.append(f"if that does not help, say it again; next is {after.name}: {after.label}")
    words += [f"not here: {way.name}. {clause(way.barred)}" for way in ways if way.barred][:1]
    words.append(f"the ways out are {SOURCE}; the maker's manual comes first")
    return words
