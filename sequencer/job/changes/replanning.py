"""A new plan in the middle of a job, as an event: what is kept keeps its number, what is new gets another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Reason
from sequencer.graph.said import sentence
from sequencer.graph.targets import Target
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Draft
from sequencer.job.now.moment import Moment, Sight
from sequencer.job.now.practised import NOT_KEPT, in_practice, not_kept
from sequencer.plan.closing.soak import Soak, acting, idle
from sequencer.plan.onward.present import Direction, met, remaining
from sequencer.plan.onward.turned import Homeward, plan_back
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import GoodPractice
from sequencer.plan.resume import RESHUFFLE_SECONDS, Difference, replan


def add_new_plan(
    draft: Draft,
    moment: Moment,
    why: str,
    *,
    sight: Sight | None = None,
    targets: Sequence[Target] | None = None,
    reshuffle: Fraction = RESHUFFLE_SECONDS,
    soak: Soak | None = None,
    go_on: bool = False,
    anew: bool = False,
) -> Difference:
    """Plan what is left from the present state, and put the plan down as a ``changed`` event.

    Args:
        draft: Gets the event.
        moment: What is so.
        why: What made a new plan needful, in a few words.
        sight: The machine as it is known now; None: as before.
        targets: The targets now; None: as before.
        reshuffle: Seconds that another order has to save before the known one is given up.
        soak: Something that comes first if it can be done now, and has to act before some steps.
        go_on: Plan what can still be done, and say what can't, rather than raise.
        anew: Also on the way back another order is taken where it saves that.

    Raises:
        SequencerError: A target can't be reached any more by what is new; it says why.
    """
    sight = sight or moment.sight
    if moment.present.direction is Direction.TOGETHER:
        least = reshuffle if anew else None
        difference, order, practice = _way_back(draft, moment, sight, go_on=go_on, reshuffle=least)
    else:
        former = [op for _, op in moment.state.left]
        found = replan(
            sight.machine,
            targets if targets is not None else moment.targets,
            moment.present,
            former,
            reshuffle,
            Prefer(moment.card.prefer),
            go_on=go_on or bool(moment.stuck),
            practice=moment.practice,
        )
        order = tuple(op.name for op in found.plan.operations)
        fresh = [(target, fault) for target, fault in found.stuck if str(target) not in moment.stuck]
        if fresh and not go_on:
            raise fresh[0][1]
        draft.words += [f"{target} can't be reached any more: {fault}" for target, fault in fresh]
        difference, practice = found.difference, found.plan.practice
    if soak is not None and soak.task in order:
        order = _with_soak(draft, replace(moment, sight=sight), order, soak, practice)
    draft.add(
        EventKind.CHANGED,
        {**body(moment, order, why, sight.digest), **told(difference), **not_kept(practice)},
    )
    return difference


def _with_soak(
    draft: Draft, moment: Moment, order: tuple[str, ...], soak: Soak, practice: GoodPractice | None
) -> tuple[str, ...]:
    """The order with the task at once where that can be, and other steps while it acts.

    Nothing is done meanwhile that good practice has not done so, beside what it is known not to keep.
    """
    if moment.present.direction is Direction.TOGETHER:
        return order
    if not moment.why_not(soak.task, moment.present):
        order = (soak.task, *(op for op in order if op != soak.task))
    if not soak.seconds:
        return order
    graph, changes = remaining(moment.whole, moment.present), moment.present.changes(moment.machine)
    acted, wait = acting(graph, order, changes, soak)
    if practice is not None and acted != order:
        gone = met(moment.whole, moment.present)
        known = practice.dropped
        if not in_practice(moment.whole, graph, gone, acted, known, moment.sight.asked, back=False):
            acted, wait = order, idle(graph, order, changes, soak)
    if wait:
        draft.words.append(f"there is too little else to do meanwhile: wait {float(wait / 60):.0f} min")
    return acted


def _way_back(
    draft: Draft, moment: Moment, sight: Sight, *, go_on: bool, reshuffle: Fraction | None = None
) -> tuple[Difference, tuple[str, ...], GoodPractice | None]:
    """The rest of the reassembly anew; what is new in it, what is not needed any more, what it can't keep."""
    former = [op for _, op in moment.state.left]
    home = plan_back(sight.machine, moment.targets, moment.present, former=former, practice=moment.practice)
    saving = Fraction(0)
    if reshuffle is not None:
        best = plan_back(sight.machine, moment.targets, moment.present, practice=moment.practice)
        saving = home.refit.totals.seconds - best.refit.totals.seconds
        home = best if saving > reshuffle else home
    fresh = replace(home, stranded=tuple(s for s in home.stranded if s.operation not in moment.left_out))
    if not go_on:
        refuse_stranded(fresh)
    elif fresh.stranded:
        draft.words.append(f"left out, and still open: {_stranded(fresh)}")
    order = tuple(op.name for op in home.refit.operations)
    before = moment.plan.totals.seconds
    return (
        Difference(
            new=tuple(op for op in order if op not in former),
            dropped=tuple(op for op in former if op not in order),
            seconds=home.refit.totals.seconds - before,
            saving=max(saving, Fraction(0)),
            reshuffled=reshuffle is not None and saving > reshuffle,
        ),
        order,
        home.refit.practice,
    )


def refuse_stranded(home: Homeward) -> None:
    """Raise where something can't be put back or tightened any more.

    Raises:
        SequencerError: It names each such thing and what is in front of it.
    """
    if home.stranded:
        raise SequencerError(
            f"this can't be reached any more: {_stranded(home)}",
            "take off again what is in front: turn --apart",
            code="stranded",
        )


def _stranded(home: Homeward) -> str:
    """What can't be reached any more, as every view says it, and why."""
    by_reason: dict[Reason, list[str]] = {}
    for one in home.stranded:
        words = sentence(home.refit.machine, home.back.graph.operations[one.operation], volume=False)
        by_reason.setdefault(one.reason, []).append(words)
    return "; ".join(f"{', '.join(names)}: {reason}" for reason, names in by_reason.items())


def keep_workable(draft: Draft, moment: Moment) -> None:
    """Plan what is left anew after an act that has left it in an order that can't be done.

    Args:
        draft: The act; gets the event of the new plan.
        moment: What is so once the act is written.

    Raises:
        SequencerError: The act would put a target out of reach, and is none that has happened at any rate.
    """
    trial, former = Draft(), [op for _, op in moment.state.left]
    why = draft.events[0][0].value if draft.events else "the machine file was changed"
    add_new_plan(trial, moment, why, go_on=draft.at_any_rate)
    ((kind, plan),) = trial.events
    settled = {*moment.state.ticks, *moment.state.skipped}
    order = [op for _, op in plan["steps"] if op not in settled]
    if order == former and plan.get(NOT_KEPT) == moment.state.plans[-1].event.body.get(NOT_KEPT):
        return
    draft.add(kind, _together(draft, plan))
    draft.words += trial.words
    if new := [op for op in order if op not in former]:
        draft.words.append(f"new in the plan: {', '.join(new)}")
    if {*former} == {*order} and former != order:
        draft.words.append("what is left comes in another order now")


def _together(draft: Draft, plan: Mapping[str, Any]) -> dict[str, Any]:
    """The body of a second plan of one act: what it changes is told against the plan before the act."""
    first = next((one for kind, one in draft.events if kind is EventKind.CHANGED and "new" in one), None)
    if first is None:
        return dict(plan)
    return {
        **plan,
        "new": [*(op for op in first["new"] if op not in plan["dropped"]), *plan["new"]],
        "dropped": [
            *(op for op in first["dropped"] if op not in plan["new"]),
            *(op for op in plan["dropped"] if op not in first["new"]),
        ],
        "moved": list(dict.fromkeys((*first["moved"], *plan["moved"]))),
        "seconds": first["seconds"] + plan["seconds"],
    }


def body(moment: Moment, order: Iterable[str], why: str, digest: str) -> dict[str, Any]:
    """A plan as an event holds it: what is done keeps its place in front, and a step its number."""
    numbers: dict[str, int] = {op: number for number, op in moment.state.planned}
    done = moment.state.settled
    following = moment.state.highest + 1
    steps: list[list[Any]] = []
    for op in dict.fromkeys((*done, *order)):
        number = numbers.get(op)
        if number is None:
            number, following = following, following + 1
        steps.append([number, op])
    return {"steps": steps, "why": why, "file": digest}


def told(difference: Difference) -> Mapping[str, Any]:
    """What a new plan changes, as an event holds it; times in seconds."""
    return {
        "new": list(difference.new),
        "dropped": list(difference.dropped),
        "moved": list(difference.moved),
        "seconds": float(difference.seconds),
        "saving": float(difference.saving),
        "reshuffled": difference.reshuffled,
    }
