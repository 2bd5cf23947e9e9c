"""What a line says besides parts: places, fluids, tasks, figures."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.journal.edits import owner_path
from sequencer.job.journal.events import EventKind
from sequencer.job.told.joints import SAID, joint_fields
from sequencer.job.told.last import folded
from sequencer.job.told.story import Story
from sequencer.job.told_words import isolates_all, raises, words
from sequencer.job.work.figures import Chosen, meant, written_at
from sequencer.machine.figures import wants_figure
from sequencer.machine.heard.fluids import fluid_words
from sequencer.machine.heard.places import place_meant
from sequencer.machine.heard.tokens import any_of
from sequencer.machine.model import Joint
from sequencer.machine.survey.short_lines import label_of
from sequencer.machine.trade.links import FLUIDS, link
from sequencer.machine.trade.relations import PART
from sequencer.quantities import TorqueQuantity
from sequencer.spoken import Context, read
from sequencer.spoken.readback import said_back_one
from sequencer.spoken.values import Act, Did, Heard, Line, Name, Spill, ToldFigure
from sequencer.wording import small

_NAMELESS = "fluid"
"""What a fluid is called that nobody named."""


def place(story: Story, said: Heard[str] | None) -> str | None:
    """The key of the place that was named; None where none was."""
    if said is None:
        return None
    known = {name: one.label for name, one in story.machine.positions.items()}
    return place_meant(said.value, known) or story.named("positions", said.value, {})


def drained(story: Story, did: Did) -> str:
    """A fluid was drained; its name in the file."""
    spill = did.spills[0] if did.spills else None
    label = _spilt_of(spill, did.part.label if did.part else "")
    plug = next((one for one in did.joints if one.kind == "plug"), did.joints[0] if did.joints else None)
    drain: dict[str, Any] = {"from": place(story, did.position)}
    if plug is not None:
        told = joint_fields(story, plug)
        drain["tool"] = told.get("tool", told.get("head"))
        drain["plug"] = {key: told[key] for key in ("thread", "torque", "source") if key in told}
    kept = {key: value for key, value in drain.items() if value is not None}
    fluid = _fluid(story, label, spill, kept)
    story.tick(Kind.DRAIN.of(fluid))
    return fluid


def _spilt_of(spill: Spill | None, holds: str) -> str:
    """What came out: by its own name, where it has one, or by what held it."""
    if spill is not None and spill.fluid.label.casefold() != _NAMELESS:
        return spill.fluid.label
    return _fluid_of(holds) if holds else _NAMELESS


def _fluid_of(holds: str) -> str:
    """The fluid that a name is or speaks of: ``rear axle oil``, petrol of a tank; else by what holds it."""
    words, text = fluid_words(), holds.casefold()
    if re.search(rf"\b(?:{any_of(words)})$", text):
        return holds
    named = any_of([one for one in words if one != _NAMELESS])
    found = set(re.findall(rf"\b(?:{named})\b", text))
    return found.pop() if len(found) == 1 else f"Fluid of the {small(holds)}"


def spilt(story: Story, part: str, spill: Spill) -> str:
    """A fluid came out as a part was opened: it wets the part, and is filled up on the way back."""
    label = _spilt_of(spill, story.labels()[part])
    held, much = small(story.labels()[part]), spill.amount or "Some"
    note = f"Not drained: {small(much)} came out as the {held} was undone. Catch it."
    fluid = _fluid(story, label, spill, {"time": words()["catching"]}, note)
    if fluid not in story.machine.parts[part].spills():
        story.entry(("parts", part, link(PART, FLUIDS).key), fluid)
    story.tick(Kind.DRAIN.of(fluid))
    return fluid


def _fluid(story: Story, label: str, spill: Spill | None, drain: dict[str, Any], note: str = "") -> str:
    volume = f"{spill.litres:g} L" if spill is not None and spill.litres else None
    fields = {"volume": volume, "drain": drain or None, "note": {"in": note} if note else None}
    return story.named("fluids", label, {key: value for key, value in fields.items() if value is not None})


def task(story: Story, did: Did) -> str:
    """Work that takes nothing off; what is set up is undone on the way back."""
    text = did.text.casefold()
    stays = any(word in text for word in words()["stays"])
    name = story.named("tasks", did.text, {} if stays else {"undo": {}})
    if not stays and isolates_all(did.text):
        _before_all(story, name)
    story.tick(Kind.TASK.of(name))
    return name


_BATTERY = re.compile(r"(?:\w+ )?battery")
_APART = (Act.OFF, Act.ASIDE, Act.LOOSE, Act.UNPLUGGED, Act.UNDONE)


def _current_called(did: Did) -> str:
    """What an act is about, as it is called; a plug that was heard as the joint of its supply with it."""
    label = did.part.label if did.part is not None else ""
    plugs = (f"{label} {one.said}" for one in did.joints if one.said)
    return next((one for one in plugs if re.search(words()["mains"], one.casefold())), label)


def isolates(did: Did) -> bool:
    """Whether an act takes the current off, at battery or mains; the battery out is the battery itself."""
    label = _current_called(did).casefold()
    lead = _BATTERY.fullmatch(label) is None or any(one.kind == "terminal" for one in did.joints)
    apart = _APART if lead else (Act.UNPLUGGED, Act.UNDONE)
    current = any(re.search(words()[key], label) for key in ("isolated", "mains"))
    return did.act.value in apart and current


def isolated(story: Story, did: Did) -> str:
    """The current was taken off: a task before all else, which is undone last of all."""
    label, tools = _current_called(did), [joint_fields(story, one) for one in did.joints]
    mains = re.search(words()["mains"], label.casefold()) is not None
    off, on = ("out", "in,") if mains else ("off", "on,")
    if label.casefold().endswith("battery"):
        off, on = "disconnected", "connected, negative"
    fields = {
        "from": place(story, did.position),
        "tool": next((one[key] for one in tools for key in ("tool", "head") if key in one), None),
        "undo": {"label": label_of(f"{label} {on} last")},
    }
    told = {key: value for key, value in fields.items() if value is not None}
    labels = {one: (story.machine.tasks[one].label or one).casefold() for one in story.machine.first}
    sort = words()["mains"] if mains else "battery"
    known = next((one for one, said in labels.items() if re.search(sort, said)), None)
    name = known or story.named("tasks", f"{label} {off}", told)
    _before_all(story, name)
    story.tick(Kind.TASK.of(name))
    for one in did.remarks:
        story.note(one.text, Kind.TASK.of(name))
    return name


def _before_all(story: Story, task: str) -> None:
    """Without its power, before anything else is touched; it has it again last of all."""
    if task not in story.machine.first:
        story.entry(("first",), task)


def torqued_on_the_ground(story: Story, part: str) -> None:
    """The fasteners of a wheel off a raised machine wait for their torque until that is down again."""
    raised = [
        name
        for name, one in story.machine.tasks.items()
        if one.undo is not None and story.is_done(Kind.TASK.of(name)) and raises(one.label or name)
    ]
    if not raised or not re.search(words()["wheel"], story.labels()[part].casefold()):
        return
    for joint in story.machine.parts[part].joints.values():
        path = ("parts", part, "joints", joint.name, "torque")
        former = story.value(*path)
        if not wants_figure(joint) or (isinstance(former, dict) and "when" in former):
            continue
        said = former if isinstance(former, dict) else {"value": former} if former is not None else {}
        with suppress(SequencerError), story.attempt():
            story.set(path, {**said, "when": raised})


_ALL = re.compile(r"all\b", re.IGNORECASE)


def for_all(text: str, parts: Mapping[str, str]) -> Line | None:
    """A torque for all joints that are alike, ``all M6 8.8 in aluminium 10 N.m``; None where it is none.

    What they are stays one name, and nothing that was told before is put right by it.
    """
    if not _ALL.match(text.strip()):
        return None
    line = read(text, Context(parts))
    one = line.said[0] if len(line.said) == 1 else None
    if not isinstance(one, Did) or one.figure is None:
        return None
    alike = text.strip().casefold().partition(one.figure.words.casefold())[0].strip(" ,:")
    return Line(text, (Did(one.act, Name(alike), figure=one.figure),))


def figure(story: Story, did: Did) -> tuple[str, ...]:
    """A torque that was told; the paths of its joints, none where it is not clear which are meant."""
    assert did.figure is not None
    chosen = _chosen(story, did)
    story.kept.words += chosen.words
    for joint in chosen.due:
        path = (*written_at(joint, lambda where: story.value(*where)), "torque")
        former = story.value(*path)
        waits = {"when": former["when"]} if isinstance(former, dict) and "when" in former else {}
        story.set(path, {**torque_value(did.figure), **waits})
        if story.value(*path[:-1], "source") is not None:
            story.set((*path[:-1], "source"), None)  # the one beside it was of the figure before
    return tuple(joint.path for joint in chosen.due)


def pulled(story: Story, did: Did) -> tuple[Joint, ...]:
    """The joints that a torque is told of though all have a figure: what the wrench read, not another figure.

    A torque with its source is a figure: it says by what the one before is wrong.
    """
    known = did.figure is not None and not did.figure.source and _chosen(story, did).due
    return tuple(known) if known and all(one.torque and one.torque.stages for one in known) else ()


def figured(story: Story, paths: Sequence[str], figure: ToldFigure) -> None:
    """All that was said of a torque in one breath with its joints: each stage, and where it is from."""
    sources = {path: story.value(*owner_path(path), "source") for path in paths}
    own = [path for path in paths if sources[path] == SAID]
    if not own and len(paths) == 1 and story.value(*owner_path(paths[0]), "torque") is None:
        own = list(paths)
    for path in own:
        where = owner_path(path)
        if not sources[path] or figure.source or len(figure.stages) > 1:
            story.set((*where, "torque"), torque_value(figure))
            story.set((*where, "source"), None)


def told_before(story: Story, part: str) -> None:
    """The torques that were told before their part was, for its joints."""
    for event in story.moment.state.of(EventKind.DID):
        for did in folded(event.event.body.get("unplaced") or (), story.labels()).said:
            if not isinstance(did, Did) or did.act.value is not Act.TORQUE or did.figure is None:
                continue
            joints = _chosen(story, did).joints
            if joints and all(one.part == part and not (one.torque and one.torque.stages) for one in joints):
                paths = figure(story, did)
                story.kept.words.append(
                    f"as told before, of {', '.join(paths)}: {said_back_one(did).rstrip('.')}"
                )


def _chosen(story: Story, did: Did) -> Chosen:
    """The joints that are meant; none where it is not clear which."""
    name, said = did.part, [one.said for one in did.joints if one.said]
    names = [] if name is None else [*(f"{name.label} {one}" for one in said), name.words, name.label]
    for text in (*names, *said):
        with suppress(SequencerError):
            return meant(story.machine, text)
    return Chosen((), named=True)


def torque_value(said: ToldFigure) -> dict[str, Any]:
    """A figure as a file writes it."""
    stages = [one.shown_in() if isinstance(one, TorqueQuantity) else one.text for one in said.stages]
    value = {"value": stages[0]} if len(stages) == 1 else {"stages": stages}
    return {**value, "source": said.source or SAID}
