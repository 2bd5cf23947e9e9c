"""Stopping: where the machine may be left, once a way to such a place was gone, or all the same."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from enum import Enum

from sequencer.errors import SequencerError
from sequencer.graph.operations import Op
from sequencer.job.evenings.way_out import WayOut, ways_out
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError, steps_text
from sequencer.job.now.closing import TypedReading
from sequencer.job.now.moment import Moment
from sequencer.job.reports.status import stops_ahead
from sequencer.job.work import ticking
from sequencer.plan.hazards.stops import Verdict

PUT_BACK = "put back so that the machine can be left"


class MadeSafe(Enum):
    """What was done to make the machine safe; the value is how a form says it."""

    BACK = "back"
    ON = "on"


def stop(why: str, way: MadeSafe | None, seen: Sequence[str]) -> Act:
    """Stop the clock, as it is or once a way out was gone."""

    def act(moment: Moment, by: By) -> Draft:
        if way is None:
            return _as_it_is(moment, why)
        found = _offered(moment, way, seen, by)
        return _put_back(moment, found, why) if way is MadeSafe.BACK else _gone_on(moment, found, why, by)

    return act


def _as_it_is(moment: Moment, why: str) -> Draft:
    draft = Draft()
    if moment.state.running is None:
        draft.words.append("the clock is stopped already")
        return draft
    try:
        loose = stops_ahead(moment)[0].loose
    except SequencerError:  # the file does not serve: a stop is a stop
        loose = ()
    left = [f"{one.left.value} {one.subject}" for one in loose if one.unsafe]
    draft.add(EventKind.STOPPED, {"why": why.strip(), "left": left or None})
    draft.words.append("stopped")
    return draft


def _offered(moment: Moment, way: MadeSafe, seen: Sequence[str], by: By) -> WayOut:
    """The way as it is offered now; one that somebody has seen must still be the same."""
    ways = ways_out(moment, by.person, by.time or datetime.now(UTC))
    found = next((one for one in ways if one.onward is (way is MadeSafe.ON)), None)
    if found is None:
        if stops_ahead(moment)[0].verdict is not Verdict.UNSAFE:
            raise RefusedError(
                "nothing is known here that has to be made safe",
                "stop without --made-safe",
                code="safe-already",
            )
        raise RefusedError("there is no such way to make it safe", "see stop and status", code="no-way")
    if seen and set(seen) != set(found.ops):
        raise RefusedError(
            "the job has gone on since, and so has what makes it safe", "stop again", code="gone-on"
        )
    return found


def _put_back(moment: Moment, found: WayOut, why: str) -> Draft:
    """What was done is taken back: the stop with all of it is one act."""
    draft = Draft(at_any_rate=True)
    what = steps_text(moment, found.ops)
    draft.add(EventKind.STOPPED, {"why": why.strip(), "safe": f"put back: {what}"})
    events: dict[str, list[str]] = {}
    for op in map(Op, found.ops):
        events.setdefault(moment.state.ticks[op].event, []).append(op)
    for event, ops in events.items():
        draft.add(EventKind.UNDONE, {"event": event, "ops": ops, "why": PUT_BACK})
    draft.ops = found.ops
    draft.words += [f"put back, and to be done again: {what}", "stopped"]
    return draft


def _gone_on(moment: Moment, found: WayOut, why: str, by: By) -> Draft:
    """The steps up to the next place are ticked, by the rules that every tick goes by."""
    if not found.single:
        raise RefusedError(
            "some of these steps ask for a reading, or a bench list",
            f"tick them one by one up to step {moment.state.number(found.ops[-1])}, then stop",
            code="one-by-one",
        )
    draft = ticking.done(list(found.ops), TypedReading(), None)(moment, by)
    draft.words = [word for word in draft.words if word != ticking.STARTED]
    text = f"on to step {moment.state.number(found.ops[-1])}"
    draft.add(EventKind.STOPPED, {"why": why.strip(), "safe": text})
    draft.words.append("stopped")
    return draft
