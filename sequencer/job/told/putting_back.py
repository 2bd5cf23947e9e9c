"""What was put back, as it was told: the fit and fasten steps that can be ticked now; gates stay open."""

from __future__ import annotations

from sequencer.graph.operations import Kind, Op
from sequencer.job.now.gates import back_faults, gate_joint
from sequencer.job.told.story import Story
from sequencer.machine.called import meant_parts, words_of
from sequencer.spoken.readback import said_back_one
from sequencer.spoken.values import Act, Did

_BACK = frozenset((Kind.FIT, Kind.MOVE_BACK, Kind.SEAT, Kind.FASTEN, Kind.TIGHTEN))


def put_back(story: Story, did: Did) -> str | None:
    """Tick what of a part's way back can be ticked; the part, None where that is not clear."""
    moment = story.moment
    if not moment.state.turned:
        story.note(said_back_one(did))
        story.kept.words.append("kept as a note: the way back begins with sequencer turn")
        return None
    if did.act.value is Act.BACK and (restored := _restored(story, did)):
        faults = back_faults(moment, [restored])
        if not faults:
            story.tick(restored)
        else:
            story.kept.words.append(f"{_step(story, restored)} can't be yet: {faults[0][1][0]}")
        return None
    part = _part(story, did)
    if did.act.value is not Act.BACK or part is None:
        story.note(said_back_one(did))
        why = (
            "nothing here goes back under that name" if part is None else "more comes off after turn --apart"
        )
        story.kept.words.append(f"kept as a note: {why}")
        return None
    story.kept.parts.append(part)
    left = [op for _, op in moment.state.left if op.part == part]
    lists = moment.bench_lists(left)
    lacking: list[str] = []
    for op in left:
        if gate_joint(moment, op) is not None:
            story.kept.words.append(f"the gate stays open: {_step(story, op)}")
        elif op.kind in _BACK and not lists.get(op):
            told = [one.op for one in story.kept.ticks]
            if faults := back_faults(moment, [*told, op]):
                lacking.append(f"{_step(story, op)} can't be yet: {faults[-1][1][0]}")
            else:
                story.tick(op)
        else:
            lacking.append(f"still to do: {_step(story, op)}")
    story.kept.words += lacking
    if not left:
        story.kept.words.append(f"nothing of the {story.labels()[part]} is left to put back")
    return part


def _restored(story: Story, did: Did) -> str | None:
    """The undoing of a task whose name has all the words of what is back: the battery negative."""
    if did.part is None or did.part.key is not None:
        return None
    asked, tasks = words_of(did.part.label), story.machine.tasks
    left = [Op(op) for _, op in story.moment.state.left if Op(op).kind is Kind.RESTORE]
    found = [op for op in left if asked <= words_of(tasks[op.subject].label or op.subject)]
    return found[0] if len(found) == 1 else None


def _part(story: Story, did: Did) -> str | None:
    if did.part is None:
        return None
    if did.part.key is not None:
        return did.part.key
    found = meant_parts(story.machine, did.part.label)
    return found[0] if len(found) == 1 else None


def _step(story: Story, op: str) -> str:
    number = story.moment.state.number(op)
    return f"step {number}, {op}" if number is not None else op
