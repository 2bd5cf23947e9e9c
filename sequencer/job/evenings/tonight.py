"""The evening that somebody has said: until when they work, and how sure they want to be of where they stop.

Saying it is no work: it starts no clock, stops none, and is not taken back by an undo.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sequencer.errors import SequencerError
from sequencer.job.evenings.evening import Evening, EveningWish, evening, seconds_of
from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.now.acts import Act, By, Draft
from sequencer.job.now.moment import Moment
from sequencer.job.now.sittings import sitting_began, sittings_past
from sequencer.plan.evenings.wish import check_chance

LAPSES = timedelta(hours=4)
"""So long after its end an evening means nothing any more: the clock was forgotten."""


def say(time: str | None, until: str | None, chance: float | None) -> Act:
    """Keep until when somebody works: for so long, until an hour of the clock, or the job's usual sitting.

    A time counts from when the clock runs: said before, from when it is started.
    """

    def act(moment: Moment, by: By) -> Draft:
        now = (by.time or datetime.now(UTC)).astimezone()
        known = wish_of(moment, by.person, now)
        draft, body = Draft(), dict[str, object]()
        if chance is not None:
            check_chance(chance)
        if time is None and until is None and chance is not None and known is not None:
            body["until"] = known.until.isoformat()
        else:
            seconds = seconds_of(time, until, _sittings(moment), now)
            if seconds <= 0:
                raise SequencerError("that leaves no time to work", "say it as 90min", code="which-time")
            if until is None and moment.state.running is None:
                body["seconds"] = seconds
            else:
                body["until"] = (now + timedelta(seconds=seconds)).isoformat()
        draft.add(EventKind.EVENING, {**body, "chance": moment.card.wished if chance is None else chance})
        return draft

    return act


def wish_of(moment: Moment, person: str, now: datetime) -> EveningWish | None:
    """Until when this person works, or else the last who said it; the job's usual sitting where nobody did.

    While the clock is stopped that sitting is the one to come. None: nothing is known of it, or it is over.
    """
    told = moment.state.of(EventKind.EVENING)
    own = [one for one in told if one.event.person == person] or list(told)
    wish = _said(moment, own[-1], now) if own else None
    if wish is not None and not _over(moment, own[-1], wish, now):
        return wish
    sittings, chance = _sittings(moment), moment.card.wished
    if not sittings:
        return None
    length, began = timedelta(minutes=sittings[-1]), sitting_began(moment)
    if moment.state.running is None or began is None:
        return EveningWish(now + length, chance, floats=True)
    usual = EveningWish(began + length, chance)
    return None if now > usual.until + LAPSES else usual


def as_said(moment: Moment, person: str, now: datetime) -> Evening:
    """How far this person gets until when they said, as things are now.

    Raises:
        SequencerError: Nothing is said of it, nothing is left to do, or nobody knows what.
    """
    wish = wish_of(moment, person, now)
    if wish is None:
        raise SequencerError("nothing says how long you have", "say it: 90min", code="which-time")
    return evening(moment, person, wish.seconds(now), wish.chance, wish, now)


def tonight(moment: Moment, person: str, now: datetime) -> Evening | None:
    """The same; None where nothing is said, or nothing known is left."""
    if not moment.plan.steps or wish_of(moment, person, now) is None:
        return None
    return as_said(moment, person, now)


def usual_time(moment: Moment) -> str:
    """The job's usual sitting, in words; empty where it has none."""
    sittings = _sittings(moment)
    return f"{sittings[-1]} min" if sittings else ""


def _sittings(moment: Moment) -> tuple[int, ...]:
    """The usual sittings up to the present one, in minutes: the last of them is the one that counts now."""
    return moment.card.sittings[: len(sittings_past(moment)) + 1]


def _said(moment: Moment, told: Recorded, now: datetime) -> EveningWish:
    body = told.event.body
    chance = float(body.get("chance") or moment.card.wished)
    if "seconds" not in body:
        return EveningWish(datetime.fromisoformat(body["until"]), chance)
    starts = [
        one.event.time
        for kind in (EventKind.STARTED, EventKind.RESUMED)
        for one in moment.state.of(kind)
        if one.seq > told.seq
    ]
    running = moment.state.running
    began = min(starts, default=running or now)
    until = max(began, told.event.time) + timedelta(seconds=float(body["seconds"]))
    return EveningWish(until, chance, floats=not starts and running is None)


def _over(moment: Moment, told: Recorded, wish: EveningWish, now: datetime) -> bool:
    """Whether an evening is past: long ago, or its end is and work stood since it was said."""
    if now <= wish.until:
        return False
    stopped = any(one.seq > told.seq for one in moment.state.of(EventKind.STOPPED))
    return stopped or now > wish.until + LAPSES
