"""``did``: a line that says what was done, into this job's machine file, into ticks and into the plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from sequencer.graph.operations import Kind
from sequencer.graph.said import path_words
from sequencer.job.changes.machine_copy import digest_of
from sequencer.job.changes.replanning import body as plan_body
from sequencer.job.journal.edits import EDITS, MachineFile, as_told
from sequencer.job.journal.events import Event, EventKind
from sequencer.job.journal.replay import Replay
from sequencer.job.journal.state import ALONG
from sequencer.job.now.acts import Act, By, Draft, RefusedError
from sequencer.job.now.given import BAGS, undone_joints
from sequencer.job.now.moment import Moment, Sight
from sequencer.job.now.practised import NOT_KEPT
from sequencer.job.told.last import (
    ANSWER,
    LINE,
    ROOM,
    SAY_AGAIN,
    WAY,
    Entries,
    ToldAct,
    changes_of,
    folded,
    labels,
    last_part,
    last_told,
    only_a_note,
    told_after,
    ways_in,
)
from sequencer.job.told.left_open import question_after
from sequencer.job.told.order import items_of, way_told
from sequencer.job.told.story import Item, Story
from sequencer.job.told.things import for_all
from sequencer.job.told.writing import tell
from sequencer.job.work.ticking import of_the_clock
from sequencer.job.work.undoing import check_undoable, with_it
from sequencer.machine.faults import MachineFileError
from sequencer.spoken import Context, read
from sequencer.spoken.readback import said_back
from sequencer.spoken.values import Correction, Did, Line, Name, ToldQuestion, ToldReason
from sequencer.wording import joined, small


def did(line: str, file: MachineFile, *, before_now: bool = False) -> Act:
    """Tell what was done, in one line; it may be told late (``before_now``), from memory."""

    def act(moment: Moment, by: By) -> Draft:
        if not line.strip():
            raise RefusedError(
                "nothing was said", 'say what you did, such as "chain guard off, 3 screws PH2"'
            )
        last = last_told(moment, by.person)
        known = _last_did(moment, last)
        parts = labels(moment)
        reading = for_all(line, parts) or read(line, Context(parts, known))
        if last is not None and any(isinstance(one, Correction) for one in reading.said):
            return _amended(moment, by, file, last, (LINE, line), reading)
        return _told(_At(moment, by, file), ((LINE, line),), reading, late=before_now)

    return act


def answer(text: str, file: MachineFile, asked_by: str | None = None) -> Act:
    """Answer the question that the last line left, or, of an event ``asked_by``, none but its own."""

    def act(moment: Moment, by: By) -> Draft:
        last = last_told(moment, by.person)
        if last is None or last.question is None:
            raise RefusedError("nothing was asked", "say what you did: did LINE", code="not-asked")
        if asked_by is not None and asked_by != last.events[-1].event.id:
            raise RefusedError("something was told since that was asked", "look again", code="asked-since")
        asked = last.question
        if asked.about == WAY and not any(sign.isdigit() for sign in text):
            return _way(_At(moment, by, file), last, text)
        if text.strip().casefold() == SAY_AGAIN:
            return _said_again(moment, last)
        return _amended(moment, by, file, last, (ANSWER, asked.about, text), Line(text))

    return act


@dataclass(frozen=True)
class _At:
    """Where and by whom a line is told: the moment, the events that it takes back, what came after those."""

    moment: Moment
    by: By
    file: MachineFile
    content: bytes | None = None
    instead: tuple[str, ...] = ()
    following: Item | None = None

    def story(self) -> Story:
        """The file that it is told into."""
        content = self.file.path.read_bytes() if self.content is None else self.content
        story = Story(self.moment, content.decode("utf-8"), self.file.name, self.file.path.parent)
        story.person, story.following = self.by.person, self.following
        return story


def _last_did(moment: Moment, last: ToldAct | None) -> Did | None:
    if last is None or not last.entries:
        return None
    return next((one for one in reversed(last.dids(moment)) if isinstance(one, Did)), None)


def _told(at: _At, entries: Entries, reading: Line, *, late: bool = False) -> Draft:
    """The draft of a line that is told."""
    story = at.story()
    before = any(isinstance(one, Did) and one.before is not None for one in reading.said)
    story.late = late or (before and bool(at.moment.state.done))  # first of all comes before nothing
    found = tell(story, reading, last_part(at.moment, at.by.person))
    asks = question_after(story, reading, found)
    return _draft(at, story, entries, " ".join(story.kept.back), found.part, asks)


def _draft(
    at: _At,
    story: Story,
    entries: Entries,
    back: str,
    part: str | None,
    asks: ToldQuestion | None,
    amends: str = "",
) -> Draft:
    draft, kept = Draft(at_any_rate=True), story.kept
    draft.add(
        EventKind.DID,
        {
            "what": entries[-1][-1],
            "told": [list(entry) for entry in entries],
            "back": back,
            "amends": amends,
            "part": part,
            "parts": list(dict.fromkeys(kept.parts)),
            "joints": list(dict.fromkeys(kept.joints)),
            "remarks": kept.words,
            "unplaced": [list(entry) for entry in entries] if kept.unplaced else None,
            "asks": _asks(asks),
            EDITS: [list(edit) for edit in kept.edits] or None,
            "text": story.diff,
            "file": digest_of(story.content) if kept.edits else None,
        },
    )
    for one in at.instead:
        draft.add(EventKind.UNDONE, {"event": one})
    if kept.edits or at.instead:
        draft.content = story.content
        draft.sight = Sight(story.machine, digest_of(draft.content))
        draft.anew = True
    _planned(draft, at.moment, story)
    for (ahead, late), ticks in groupby(kept.ticks, key=lambda one: (one.ahead, one.late)):
        ops = [one.op for one in ticks]
        bags = {path: number for path, number in kept.bags if Kind.UNDO.of(path) in ops} or None
        told = {"ahead": ahead, "late": late or None, "in_words": True, BAGS: bags}
        draft.add(EventKind.DONE, {"ops": ops, "anyway": _anyway(at.moment, story, ops), **told})
        draft.ops += tuple(ops)
    for op, text in kept.notes:
        draft.add(EventKind.NOTE, {"text": text, "op": op})
    draft.words += [*story.remarks, *kept.words, *_shared(at.moment, kept.bags)]
    if any(not one.late for one in kept.ticks):
        draft.words += of_the_clock(at.moment, at.by)
    return draft


def _shared(moment: Moment, own: Sequence[tuple[str, int]]) -> Iterator[str]:
    """What lies in the bags that were named already."""
    lying = {
        path: moment.bags[path].number for path in undone_joints(moment.state.done) if path in moment.bags
    }
    for number in dict.fromkeys(number for _, number in own):
        others = [path for path, one in lying.items() if one == number and (path, number) not in own]
        if others:
            what = joined((path_words(moment.machine, path) for path in others), "and")
            yield f"bag {number} has the {small(what)} in it, too"


def _asks(question: ToldQuestion | None) -> dict[str, Any] | None:
    if question is None:
        return None
    return {"about": question.about, "text": question.text, "choices": list(question.choices)}


def _planned(draft: Draft, moment: Moment, story: Story) -> None:
    """A plan in which what was told has its numbers, before what is left."""
    ops = [one.op for one in story.kept.ticks]
    known = {op for _, op in moment.state.steps}
    if moment.state.turned or not {*ops} - known:
        return
    assert draft.sight is not None or not story.kept.edits
    digest = (draft.sight or moment.sight).digest
    order = (*ops, *(op for _, op in moment.state.left if op not in ops))
    former = moment.state.plans[-1].event.body.get(NOT_KEPT)
    draft.add(EventKind.CHANGED, {**plan_body(moment, order, "told", digest), NOT_KEPT: former})


def _anyway(moment: Moment, story: Story, ops: Sequence[str]) -> str | None:
    """Why steps were done that the file says can't be: it was told so. None where they can."""
    if moment.state.turned:
        return None
    sight = Sight(story.machine, "")
    after = replace(moment, sight=sight)
    present = moment.present
    against = False
    for op in ops:
        against = against or bool(after.why_not(op, present))
        present = present.after(after.whole, op)
    return "told so" if against else None


# ---- What was told before ----


def _amended(
    moment: Moment, by: By, file: MachineFile, last: ToldAct, entry: tuple[str, ...], reading: Line
) -> Draft:
    """The last act anew, with what was wrong put right."""
    former = _last_did(moment, last)
    noted = entry[0] == ANSWER and only_a_note(entry[1], entry[-1])
    if former is None or not (noted or changes_of(entry[0], entry[1:], former, labels(moment))):
        return _kept_open(_At(moment, by, file), last, entry, reading)
    ids = [one.event.id for one in last.events]
    try:
        parts = [str(one) for one in last.root.event.body.get("parts", ())]
        check_undoable(moment, last.root, last.ops(moment), ids, parts)
    except RefusedError as fault:
        raise RefusedError(
            f"it can't be told again: {fault.problem}",
            "put it right with correct, as in: correct guard/screws count=4",
            code="not-anew",
        ) from fault
    at = _without(moment, by, file, [*ids, *_former(moment, ids)])
    if (after := told_after(moment, last)) is not None:
        at = replace(at, following=after.written)
    line = folded((*last.entries, entry), labels(at.moment))
    late = any(one.event.body.get("late") for one in with_it(moment, last.root))
    return _told(at, (*last.entries, entry), line, late=late)


def _former(moment: Moment, ids: Sequence[str]) -> list[str]:
    """What was told anew in these acts: it would stand again with them taken back."""
    return [
        str(one.event.body["event"])
        for one in moment.state.history
        if one.event.kind is EventKind.UNDONE and one.event.body.get(ALONG) in ids
    ]


def _kept_open(at: _At, last: ToldAct, entry: tuple[str, ...], reading: Line) -> Draft:
    """What changes nothing: a correction that is not clear is asked about; an answer leaves it as it was."""
    story = at.story()
    if entry[0] == ANSWER:
        story.kept.words.append("left as it was told")
    back = said_back(reading) if entry[0] == LINE else ""
    return _draft(at, story, (*last.entries, entry), back, last.part, reading.question, last.root.event.id)


def _said_again(moment: Moment, last: ToldAct) -> Draft:
    draft = Draft(at_any_rate=True)
    ids = [one.event.id for one in last.events]
    for gone in (*ids, *_former(moment, ids)):
        draft.add(EventKind.UNDONE, {"event": gone})
    draft.words.append(f"taken back: {last.entries[0][-1]}; say it again")
    return draft


def _way(at: _At, last: ToldAct, text: str) -> Draft:
    """What the last part was in the way of, answered."""
    story, part, former = at.story(), last.part, _last_did(at.moment, last)
    ways = ways_in(text, labels(at.moment))
    names = [one for one in ways if isinstance(one, Name)]
    back = f"It was {ROOM}." if ToldReason.ROOM in ways else ""
    if names and former is not None and part is not None:
        joints = [str(one) for one in last.root.event.body.get("joints", ())]
        story.ahead = story.first_of(part) if any(one.event.body.get("late") for one in last.events) else ""
        for one in names:
            way_told(story, part, one, items_of(former, part, joints))
        back = f"It was in the way of the {joined(small(one.label) for one in names)}."
    if not back:
        story.kept.words.append("left as it was told")
    return _draft(at, story, (*last.entries, (ANSWER, WAY, text)), back, part, None, last.root.event.id)


def _without(moment: Moment, by: By, file: MachineFile, ids: Sequence[str]) -> _At:
    """The job as it is without an act, and the file that it has then."""
    replay = Replay()
    replay.take(moment.state.history)
    after = replay.ahead([Event(EventKind.UNDONE, {"event": one}) for one in ids])
    content, reading = as_told(file, file.path.read_bytes(), after.changes)
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    sight = Sight(reading.machine, digest_of(content))
    return _At(Moment(moment.card, sight, after.state()), by, file, content, tuple(ids))
