"""What the file has wrong about a part or joint, put right in this job's copy: a head, a thread, a torque."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.changes.finds import put_into
from sequencer.job.changes.replanning import add_new_plan
from sequencer.job.changes.troubled import joint_named
from sequencer.job.journal.edits import EDITS, Edit, MachineFile, changed, owner_path
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Act, By, Draft, RefusedError
from sequencer.job.now.confirmed import UNSURE
from sequencer.job.now.moment import Moment
from sequencer.machine.called import meant_parts
from sequencer.plan.resume import RESHUFFLE_SECONDS

JOINT_KEYS = ("head", "thread", "length", "count", "torque", "label", "class", "pattern")
PART_KEYS = ("label",)
_OF_THE_GATE = frozenset({"torque", "count", "thread", "class"})
"""What a torque that was read is judged by."""


def correct(
    where: str, values: Mapping[str, str], file: MachineFile, reshuffle: Fraction = RESHUFFLE_SECONDS
) -> Act:
    """Put values of the part or joint ``where`` right in the job's ``file``, and plan the rest anew.

    The file's own rules judge them: what it would not take is refused, and nothing is written.
    """

    def act(moment: Moment, _by: By) -> Draft:
        thing = _named(moment, where)
        edits, words = _edits(moment, thing, values, file)
        draft = Draft()
        sight, text = put_into(draft, file, edits)
        what = f"{thing}: {'; '.join(words)}"
        draft.add(EventKind.CORRECTED, {"what": what, EDITS: [list(edit) for edit in edits], "text": text})
        draft.words.append(f"corrected {what}")
        add_new_plan(draft, moment, f"corrected: {what}", sight=sight, reshuffle=reshuffle)
        return draft

    return act


def _named(moment: Moment, where: str) -> str:
    """The part or joint that somebody names; a name that both have is the part's."""
    parts = meant_parts(moment.machine, where)
    return parts[0] if len(parts) == 1 else joint_named(moment.machine, where).path


def as_it_stands(where: str, file: MachineFile) -> dict[str, str]:
    """What the file says of a part or joint now, by key; nothing where the file can't be read."""
    from sequencer.machine.edit.emit import flow

    try:
        editor = changed(file, ())
    except SequencerError:
        return {}
    found = {key: editor.value((*owner_path(where), key)) for key in JOINT_KEYS}
    return {key: flow(value) for key, value in found.items() if value is not None}


def _edits(
    moment: Moment, where: str, values: Mapping[str, str], file: MachineFile
) -> tuple[list[Edit], list[str]]:
    """The changes, and what each of them says."""
    from sequencer.machine.edit.emit import flow

    known = PART_KEYS if where in moment.machine.parts else JOINT_KEYS
    wrong = next((key for key, value in values.items() if key not in known or not value.strip()), None)
    if wrong is not None or not values:
        raise RefusedError(
            f"nothing can be put right by {wrong or 'nothing'!r}",
            f"write it like {known[0]}=VALUE; there are {', '.join(known)}",
        )
    gate = Kind.TORQUE.of(where)
    if gate in moment.present.back and _OF_THE_GATE & set(values):
        raise RefusedError(
            f"{where} is at its torque by what the file says now",
            f"take that back first: undo {moment.state.number(gate) or gate}",
            code="rests-on-it",
        )
    editor = changed(file, ())
    edits: list[Edit] = []
    words = []
    for key, value in values.items():
        place, new = [*owner_path(where), key], value.strip()
        former = editor.value(tuple(place))
        if former != new:
            edits.append(["set", place, new, former])
            words.append(f"{key} {new}, was {'not given' if former is None else flow(former)}")
    unsure = editor.value((*owner_path(where), "unsure"))
    if edits and isinstance(unsure, list) and not values.keys().isdisjoint(unsure):
        left = [key for key in unsure if key not in values] or None
        edits.append(["set", [*owner_path(where), "unsure"], left, unsure])
    from_type = editor.value(UNSURE)
    if edits and isinstance(from_type, list) and where in from_type:
        edits.append(["set", [*UNSURE], [one for one in from_type if one != where] or None, from_type])
    if not edits:
        raise RefusedError(f"the file says this of {where} already", "see the step")
    return edits, words
