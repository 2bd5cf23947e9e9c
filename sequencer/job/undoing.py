"""Taking back: which event is meant, and whether anything that was done later rests on it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sequencer.job.acts import Act, By, Draft, RefusedError, steps_text
from sequencer.job.choosing import chosen
from sequencer.job.edits import EDITS
from sequencer.job.events import EventKind, Recorded
from sequencer.job.moment import Moment
from sequencer.job.state import ACTS, ALONG
from sequencer.plan.present import Direction, Present

STEP_NUMBER = re.compile(r"\d{1,6}")
"""What is a step's number rather than the beginning of an id: ids are shown with eight characters."""


def undo(which: str | int | None) -> Act:
    """Take back an act, or a single tick."""

    def act(moment: Moment, by: By) -> Draft:
        target, ops = _to_undo(moment, which, by)
        gone = ops or tuple(target.event.body.get("ops", ()))
        _check_nothing_rests_on(moment, gone)
        _check_not_worked_on(moment, target)
        draft = Draft()
        draft.add(EventKind.UNDONE, {"event": target.event.id, "ops": list(ops) or None})
        draft.ops = gone
        what = steps_text(moment, gone) if gone else ""
        draft.words.append(f"taken back: {target.event.kind.value} {what}".rstrip())
        return draft

    return act


def _to_undo(moment: Moment, which: str | int | None, by: By) -> tuple[Recorded, tuple[str, ...]]:
    """The event to take back, and which of its operations (none: all of it)."""
    standing = [one for events in moment.state.kept.values() for one in events]
    standing.sort(key=lambda one: one.seq)
    acts = [one for one in standing if one.event.kind in ACTS and ALONG not in one.event.body]
    if which is None:
        mine = [one for one in acts if one.event.device == by.device]
        if not mine:
            raise RefusedError(
                "this device has done nothing that could be taken back",
                "name the step: undo 5",
                code="nothing-to-undo",
            )
        return mine[-1], ()
    if isinstance(which, int) or STEP_NUMBER.fullmatch(which.strip()):
        (op,) = chosen(moment, str(which))
        tick = moment.state.ticks.get(op) or moment.state.skipped.get(op)
        if tick is None:
            raise RefusedError(f"{steps_text(moment, (op,))}, is not ticked", "there is nothing to take back")
        event = next(one for one in standing if one.event.id == tick.event)
        return event, (op,) if len(event.event.body["ops"]) > 1 else ()
    found = [one for one in acts if one.event.id.startswith(which.strip().lower())]
    if len(found) != 1 or len(which.strip()) < 4:
        what = "several events begin" if len(found) > 1 else "no event that stands begins"
        raise RefusedError(
            f"{what} with {which!r}", "log shows the ids; give a step's number, or more of the id"
        )
    return found[0], ()


def _check_nothing_rests_on(moment: Moment, gone: Sequence[str]) -> None:
    """Refuse where a later tick would be impossible without what is taken back."""
    if not gone or moment.present.direction is not Direction.APART:
        return
    state = moment.state
    skipped = {op: tick.why or "" for op, tick in state.skipped.items() if op not in gone}
    present = Present(skipped=skipped)
    for op, tick in state.ticks.items():
        if op in gone or op not in moment.whole.operations:
            continue
        if not tick.anyway and moment.why_not(op, present):
            raise RefusedError(
                f"{steps_text(moment, (op,))}, rests on it",
                f"take that back first: undo {state.number(op) or op}",
                code="rests-on-it",
            )
        present = present.after(moment.whole, op)


def _check_not_worked_on(moment: Moment, target: Recorded) -> None:
    """Refuse to take a find back once work was done on what was found."""
    added = {str(path[-1]): path for what, path, _, _ in target.event.body.get(EDITS, ()) if what == "add"}
    for op in moment.state.ticks:
        word, _, subject = op.partition(" ")
        part, _, joint = subject.partition("/")
        found = added.get(joint) or added.get(part)
        if found is not None and (found[:2] == ["parts", part] or word == "task"):
            raise RefusedError(
                f"{steps_text(moment, (op,))}, rests on it",
                f"take that back first: undo {moment.state.number(op) or op}",
                code="rests-on-it",
            )
