"""A job with a file in which something new was told: all that was done goes into the order.

Of a new part nobody knows what it was in the way of, so that its place among all that was done is kept. Of
two things that the file had before, it says all that there is to say: they are free there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sequencer.graph.operations import REACHES, Kind, subjects
from sequencer.job.changes.bare import without_file
from sequencer.job.journal.events import EventKind
from sequencer.job.now.moment import Moment
from sequencer.job.told.story import FREE, ORDER, Item, Story, about

BY_FILE = "the file knows it"
_STATES: Mapping[Kind | None, str] = {Kind.MOVE_ASIDE: "aside", Kind.LOOSEN: "loose"}


def has_an_order(story: Story) -> bool:
    """Whether what is told now has a place in the order: not where the file knows all that was done."""
    new = _new(story) & {*story.kept.parts}
    return without_file(story.moment.card) or bool(story.value(*ORDER)) or bool(new)


def catch_up(story: Story, now: Iterable[Item] = ()) -> None:
    """Put what was done, and what is done ``now``, into the order of a job that has a file."""
    if without_file(story.moment.card) or not (story.value(*ORDER) or [*now]):
        return
    told_now = [*now]
    there: list[Item] = story.value(*ORDER) or []
    for item in done_items(story.moment):
        if item not in there and item not in told_now:
            _enter(story, item)
    for item in told_now:
        _enter(story, item)


def _enter(story: Story, item: Item) -> None:
    there: list[Item] = story.value(*ORDER) or []
    if item in there:
        return
    new = _new(story)
    known = [one for one in there if about(one) not in new]
    story.entry(ORDER, item)
    if about(item) not in new and known:
        story.entry(FREE, {"first": [item], "then": known, "source": BY_FILE})


def _new(story: Story) -> set[str]:
    """The parts that were told of on this job, and that the file did not have."""
    events = story.moment.state.of(EventKind.DID)
    edits = (edit for one in events for edit in one.event.body.get("edits", ()))
    paths = (path for what, path, *_ in edits if what == "add" and len(path) == 2)
    return {str(path[1]) for path in paths if path[0] == "parts"} | {*story.kept.new}


def done_items(moment: Moment) -> list[Item]:
    """What was done so far, as an order has it."""
    done = moment.state.done
    whole = subjects(done, *REACHES)
    found: dict[str, Item] = {}
    for op in done:
        kind, subject = op.kind, op.subject
        if op not in moment.whole.operations:
            continue
        if kind in (Kind.REMOVE, Kind.TASK, Kind.DRAIN):
            found.setdefault(op, subject)
        elif state := _STATES.get(kind):
            found.setdefault(op, {subject: state})
        elif kind is Kind.UNDO and op.part not in whole:
            found.setdefault(op, subject)
    return list({str(item): item for item in found.values()}.values())
