"""What was put back, as it was told: the fit and fasten steps that can be ticked now; gates stay open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, Op, Reason
from sequencer.graph.said import sentence
from sequencer.job.now.acts import RefusedError
from sequencer.job.now.gates import back_faults, gate_joint, gate_of
from sequencer.job.now.moment import Sight
from sequencer.job.told.story import FREE, Story
from sequencer.machine.called import meant_parts, words_of
from sequencer.machine.model import Joint
from sequencer.quantities import TorqueQuantity
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
            faults = _faults(story, [*told, op])
            if faults and not _put_back_so(story, part, [*told, op]):
                lacking.append(f"{_step(story, op)} can't be yet: {faults[-1][1][0]}")
            else:
                story.tick(op)
        else:
            lacking.append(f"still to do: {_step(story, op)}")
    story.kept.words += lacking
    if not left:
        story.kept.words.append(f"nothing of the {story.labels()[part]} is left to put back")
    return part


def reading_told(story: Story, joints: Sequence[Joint]) -> str:
    """What becomes of a torque that was told as pulled: only its gate takes readings; the figure stays."""
    stages = joints[0].torque.stages if joints[0].torque else ()
    asked = " + ".join(one.shown_in() if isinstance(one, TorqueQuantity) else one.text for one in stages)
    left = {op for _, op in story.moment.state.left}
    gates = [op for joint in joints if (op := gate_of(story.machine, joint.path)) in left]
    if not gates:
        return f"kept as a note: the figure stays {asked}, and its gate is closed"
    step = _step(story, gates[0])
    return f"kept as a note: the figure stays {asked}; what was read goes in at its gate, {step}"


def _faults(story: Story, ops: Sequence[str]) -> list[tuple[str, tuple[Reason, ...]]]:
    """Why these steps can't be done now, by the file as it has come so far."""
    return back_faults(replace(story.moment, sight=Sight(story.machine, "")), ops)


def _put_back_so(story: Story, part: str, ops: Sequence[str]) -> bool:
    """Whether steps wait for nothing but an order that is merely kept: that they were done shows it needless.

    An open gate of what is in its place already goes before that: what came off first may close it off.
    """
    moment, taken = story.moment, story.machine.taken_apart
    left = [Op(op) for _, op in moment.state.left]
    fitted = {op.part for op in map(Op, moment.state.back)}
    if any(op.part in fitted and gate_joint(moment, op) is not None for op in left):
        return False
    first = [n for n, told in enumerate(taken.order) if told.section == "parts" and told.atom.part == part]
    later = taken.order[min(first, default=len(taken.order)) :]
    still_off = {op.part or op.subject for op in left} - {part}
    then = [told.written for told in later if told.atom.part in still_off]
    if not then:
        return False
    try:
        with story.attempt():
            own = [taken.order[n].written for n in first]
            story.entry(FREE, {"first": own, "then": then, "source": "put back before it on this job"})
            if _faults(story, ops):
                raise RefusedError("it waits for more than that", "put that back first")
    except SequencerError:
        return False
    return True


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
    number, operation = story.moment.state.number(op), story.moment.operations.get(Op(op))
    words = sentence(story.machine, operation) if operation is not None else op
    return f"step {number} ({words})" if number is not None else words
