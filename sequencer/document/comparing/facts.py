"""A machine as facts, each with its group, what it is about, and where it is written.

A fact is a value (``count``: 4) or the bare being there of something (a part, ``behind guard``). The order of
the file, its comments and what is written once for several make no other facts; nor does what a job has
learned (``found``, ``unsure``, how it came apart).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Any

from sequencer.document.steps.torques import order_words
from sequencer.document.words import tool_words
from sequencer.machine.called import name_of
from sequencer.machine.model import (
    Aim,
    Fluid,
    FluidWork,
    Freedom,
    Joint,
    Machine,
    Need,
    Part,
    Place,
    Position,
    State,
    Subject,
    Task,
    WayTexts,
)
from sequencer.machine.trade.links import links
from sequencer.machine.trade.relations import PART, TASK
from sequencer.quantities import Stage, TorqueQuantity
from sequencer.torque.show import show_torque

GROUPS: Mapping[str, str] = {
    "parts": "Parts",
    "way": "What is in the way",
    "fasteners": "What holds them, and how many",
    "heads": "Heads, threads and tools",
    "places": "Where it is done from",
    "torques": "Torques",
    "fluids": "Fluids",
    "tasks": "Tasks",
    "new": "What is renewed, sealed, prepared",
    "jobs": "Typical jobs",
    "weights": "Weights and times",
    "shapes": "Shapes and room",
    "words": "Cautions, notes and names",
    "rest": "The rest",
}
"""What facts are about, the most important first, and the heading of each."""

Key = tuple[str, str, str]
"""Group, subject (``head/bolts``), and what is said of it."""

NOT_COMPARED = frozenset(
    {
        *("name", "label", "part", "place", "file", "revision", "about"),
        *(
            "parts",
            "joints",
            "positions",
            "walks",
            "tools",
            "fluids",
            "tasks",
            "first",
            "jobs",
            "pace",
            "spreads",
        ),
        *(one.key for one in links()),
        *("waits", "cautions", "notes", "before"),
        *("seconds_from", "judgement", "spots", "volume_litres"),
        *("found", "unsure", "varies", "seen", "taken_apart", "from_type", "learned", "filled", "undone"),
    }
)
"""Fields that are no fact: told otherwise below, worked out from others, or what a job has learned."""


@dataclass(frozen=True)
class Fact:
    """What is said: its value in words, empty where it is only there; ``label`` is what it is about."""

    label: str
    said: str
    place: Place | None


def facts(machine: Machine, called: Mapping[str, str] | None = None) -> dict[Key, Fact]:
    """All facts of a machine.

    Args:
        machine: The machine.
        called: Names of parts that the other machine has otherwise, and its names for them.
    """
    return dict(_Facts(machine, called or {}).all())


class _Facts:
    """Tells the facts of one machine."""

    def __init__(self, machine: Machine, called: Mapping[str, str]) -> None:
        self.machine = machine
        self.called = called

    def all(self) -> Iterator[tuple[Key, Fact]]:
        machine = self.machine
        for position in machine.positions.values():
            yield from self._position(position)
        for fluid in machine.fluids.values():
            yield from self._fluid(fluid)
        for task in machine.tasks.values():
            yield from self._task(task)
        for name in machine.first:
            task = machine.tasks[name]
            yield self._is(
                "tasks", f"task {name}", name_of(name, task.label), "done before all else", task.place
            )
        for part in machine.parts.values():
            yield from self._part(part)
        for job in machine.jobs.values():
            about = ("jobs", f"job {job.name}", job.label)
            yield self._is(*about, "", job.place)
            off = [self._path(aim.part) + (f"={aim.state}" if aim.state else "") for aim in map(Aim, job.off)]
            yield from self._values(about, job.place, {"off": off, "for": job.purpose, "renew": job.renew})
        yield from self._rest("machine", machine.name, machine, "rest", None, {})
        for one in fields(machine.pace):
            yield self._one("weights", "pace", "Pace", one.name, exact(getattr(machine.pace, one.name)), None)
        for (here, there), seconds in machine.walks.items():
            ends = " and ".join(sorted(machine.positions[end].label for end in (here, there)))
            yield self._one("weights", "walks", "Walk", f"between {ends}", exact(seconds), None)

        for (what, subject), spread in machine.spreads.items():
            about = ("weights", self._path(subject), self._path(subject))
            yield self._one(*about, f"time to {what}, longest by shortest", f"{float(spread):g}", None)

    # ---- What a file names ----

    def _part(self, part: Part) -> Iterator[tuple[Key, Fact]]:
        name, label, place = self._path(part.name), name_of(part.name, part.label), part.place
        yield self._is("parts", name, label, "", place)
        yield from self._common(name, label, part, place)
        for state, freedom in (("loose", part.loose), ("aside", part.aside)):
            if freedom is not None:
                yield from self._freedom(name, label, state, freedom)
        if part.rides:
            words = f"may come off with {self._path(part.rides.on)}, {_list(part.rides.joints)} fastened"
            yield self._is("way", name, label, words, part.rides.place)
        new = [f"{one.count} × {one.item}" for one in part.renew]
        yield from self._values(("new", name, label), place, {"renewed": new, "bench list": part.prepare})
        done = {
            "position",
            "seconds",
            "loose",
            "aside",
            "rides",
            "renew",
            "prepare",
            "sealing",
        }
        shapes = dict.fromkeys(("boxes", "out", "tilt", "mesh"), "shapes")
        groups = {**shapes, "weight_kg": "weights", "people": "weights"}
        yield from self._rest(name, label, part, "rest", place, groups, done)
        for joint in part.joints.values():
            yield from self._joint(joint)

    def _joint(self, joint: Joint, group: str = "fasteners") -> Iterator[tuple[Key, Fact]]:
        name, place = f"{self._path(joint.part)}/{joint.name}", joint.place
        of = self.machine.parts.get(joint.part) or self.machine.fluids[joint.part]
        label = f"{name_of(of.name, of.label)}: {name_of(joint.name, joint.label)}"
        yield self._is(group, name, label, "", place)
        yield from self._common(name, label, joint, place)
        yield self._one("heads", name, label, "tool", tool_words(self.machine, joint.tool), place)
        if joint.crack:
            held = _list(map(self._path, joint.crack.while_parts))
            yield self._is("torques", name, label, f"broken loose while held by {held}", joint.crack.place)
        if joint.torque:
            torque = joint.torque
            when = _list(self._path(one) for _, one in torque.when)
            said: dict[str, str | Iterable[str]] = {
                "torque": ", then ".join(map(_stage, torque.seating or torque.stages)) or "open",
                "prevailing": _stage(torque.prevailing) if torque.prevailing else "",
                "torqued only with": when,
                "again": torque.again or "",
            }
            said |= {"order": order_words(joint), "torqued from": self._stand(torque.position)}
            yield from self._values(("torques", name, label), torque.place, said)
        if joint.fit:
            fit = f"{self._stand(joint.fit.position)}, {tool_words(self.machine, joint.fit.tool)}"
            yield self._one("places", name, label, "fastened from", fit, place)
            yield self._one("weights", name, label, "time to fasten", exact(joint.fit.seconds), place)
        done = {"position", "seconds", "tool", "torque", "crack", "fit", "sealing"}
        groups = {
            **dict.fromkeys(("head", "thread", "left_hand", "property_class", "length_mm"), "heads"),
            **dict.fromkeys(("boxes", "axis", "reach", "swing", "draw", "at"), "shapes"),
            **dict.fromkeys(("count", "kind"), "fasteners"),
            **dict.fromkeys(
                ("by_hand", "friction", "engaged_in", "engagement", "tolerance", "face"), "torques"
            ),
        }
        yield from self._rest(name, label, joint, "rest", place, groups, done)

    def _freedom(self, name: str, label: str, state: str, freedom: Freedom) -> Iterator[tuple[Key, Fact]]:
        what = "may be loosened" if state == "loose" else "may be moved aside"
        joints = f", with {_list(freedom.joints)}" if freedom.joints else ""
        yield self._is("way", name, label, f"{what}{joints}", freedom.place)
        yield self._one(
            "weights", name, label, f"time to get it {state}", exact(freedom.seconds), freedom.place
        )
        if freedom.by is not None:
            yield self._one(
                "shapes", name, label, f"how far it is {state}", str((freedom.by, freedom.via)), freedom.place
            )

    def _fluid(self, fluid: Fluid) -> Iterator[tuple[Key, Fact]]:
        name, label, place = f"fluid {fluid.name}", name_of(fluid.name, fluid.label), fluid.place
        about = ("fluids", name, label)
        yield self._is(*about, "", place)
        new = [f"{one.count} × {one.item}" for one in fluid.renew]
        said = {
            "volume": fluid.volume_text or "",
            "renewed at its drain": new,
            "fill": "" if fluid.fill else "waste",
        }
        said["renewed with it"] = [self._path(one) for one in fluid.with_parts]
        said["drained again after"] = self._path(fluid.again_after) if fluid.again_after else ""
        yield from self._values(about, place, said)
        for word, work in (("drained", fluid.drain), ("filled", fluid.fill)):
            if work is not None:
                yield from self._work(name, label, word, work, place)
        yield from self._texts(name, label, fluid.cautions, fluid.notes, place)
        if fluid.plug is not None:
            yield from self._joint(fluid.plug, "fluids")

    def _work(
        self, name: str, label: str, word: str, work: FluidWork, place: Place
    ) -> Iterator[tuple[Key, Fact]]:
        yield self._one("places", name, label, f"{word} from", self._stand(work.position), place)
        yield self._one("heads", name, label, f"{word} with", tool_words(self.machine, work.tool), place)
        yield self._one("weights", name, label, f"time until it is {word}", exact(work.seconds), place)
        for need in work.waits:
            yield self._is("way", name, label, f"{word} {need.relation.key} {self._need(need)}", need.place)

    def _task(self, task: Task) -> Iterator[tuple[Key, Fact]]:
        name, label, place = f"task {task.name}", name_of(task.name, task.label), task.place
        about = ("tasks", name, label)
        yield self._is(*about, "", place)
        yield self._one("places", name, label, "from", self._stand(task.position), place)
        yield self._one("weights", name, label, "time", exact(task.seconds), place)
        yield self._one("heads", name, label, "tool", tool_words(self.machine, task.tool), place)
        for need in task.waits:
            yield self._is("way", name, label, f"{need.relation.key} {self._need(need)}", need.place)
        parts: dict[str, str | Iterable[str]] = {"before": [self._path(str(atom)) for atom in task.before]}
        parts |= {
            key: [self._path(one) for one in getattr(task, key)]
            for key in (*(one.key for one in links(TASK)), "back_before")
        }
        parts["after"] = [*task.after, *task.filled, *task.undone]
        undo = task.undo
        back = "" if undo is None else f"{undo.label}, {self._stand(undo.position)}, {exact(undo.seconds)}"
        yield from self._values(about, place, parts | {"undone by": back})
        yield from self._texts(name, label, task.cautions, task.notes, place)
        done = {"position", "tool", "seconds", "after", "back_before", "undo"}
        yield from self._rest(name, label, task, "tasks", place, {}, done)

    def _position(self, position: Position) -> Iterator[tuple[Key, Fact]]:
        name, label, place = f"position {position.label}", position.label, position.place
        yield self._is("places", name, label, "", place)
        tasks = [f"needs {name_of(one, self.machine.tasks[one].label)}" for one in position.needs]
        tasks += [f"{one} drained" for one in position.drained]
        yield from self._values(("tasks", name, label), place, {"wants": tasks})
        yield from self._texts(name, label, position.cautions, position.notes, place)
        times = {"enter": "weights", "leave": "weights"}
        yield from self._rest(name, label, position, "places", place, times, {"needs", "drained"})

    # ---- What they have in common ----

    def _common(self, name: str, label: str, of: Part | Joint, place: Place) -> Iterator[tuple[Key, Fact]]:
        yield self._one("places", name, label, "from", self._stand(of.position), place)
        for need in of.waits:
            yield self._is("way", name, label, f"{need.relation.key} {self._need(need)}", need.place)
        for link in links(PART):
            things = getattr(self.machine, link.names)
            for one in getattr(of, link.key):
                words = f"{link.told} {name_of(one, things[one].label)}"
                yield self._is(link.names, name, label, words, place)
        if of.seconds_from == "file":  # what is usual follows from kind and count, which are told
            count, what = (of.count, "time for each") if isinstance(of, Joint) else (1, "time")
            yield self._one("weights", name, label, what, exact(of.seconds / count), place)
        if of.sealing:
            sealing = of.sealing
            times = [sealing.assemble_within, sealing.cure]
            said = [sealing.kind, *(exact(one) for one in times if one is not None), *sealing.against]
            yield self._one("new", name, label, "sealant", ", ".join(said), sealing.place)
        yield from self._texts(name, label, of.cautions, of.notes, place)

    def _texts(
        self, name: str, label: str, cautions: WayTexts, notes: WayTexts, place: Place | None
    ) -> Iterator[tuple[Key, Fact]]:
        for what, texts in (("caution", cautions), ("note", notes)):
            for way, said in (("in", texts.way_in), ("back", texts.way_back)):
                for one in said:
                    yield self._is("words", name, label, f"{what} ({way}): {one}", place)

    def _rest(
        self,
        name: str,
        label: str,
        of: object,
        group: str,
        place: Place | None,
        groups: Mapping[str, str],
        done: Iterable[str] = (),
    ) -> Iterator[tuple[Key, Fact]]:
        """Every field that is told nowhere else: what is new in the model is compared from the first day."""
        told = {*done, *NOT_COMPARED}
        for one in fields(of):  # type: ignore[arg-type]
            value = getattr(of, one.name)
            if one.name not in told and value != one.default:
                what = one.name.removesuffix("_kg").removesuffix("_mm").replace("_", " ")
                yield self._one(groups.get(one.name, group), name, label, what, _plain(value), place)

    def _values(
        self, about: tuple[str, str, str], place: Place | None, said: Mapping[str, str | Iterable[str]]
    ) -> Iterator[tuple[Key, Fact]]:
        """Values that may be left out; a list has no order here."""
        for what, value in said.items():
            text = value if isinstance(value, str) else ", ".join(sorted(value))
            if text:
                yield self._one(*about, what, text, place)

    @staticmethod
    def _one(
        group: str, subject: str, label: str, what: str, said: str, place: Place | None
    ) -> tuple[Key, Fact]:
        return (group, subject, what), Fact(label, said, place)

    def _is(self, group: str, subject: str, label: str, what: str, place: Place | None) -> tuple[Key, Fact]:
        return self._one(group, subject, label, what, "", place)

    # ---- Names ----

    def _stand(self, position: str | None) -> str:
        return self.machine.positions[position].label if position else ""

    def _path(self, path: str) -> str:
        """A part or a joint by the names that both machines know."""
        known = Subject(path) if path not in self.machine.parts else Subject(self.called.get(path, path))
        part = self.called.get(known.part, known.part)
        return f"{part}/{known.joint}" if known.of_joint else part

    def _need(self, need: Need) -> str:
        return " or ".join(
            f"{self._path(atom.part)}/{atom.joint}"
            if atom.joint
            else self._path(atom.part) + ("" if atom.state is State.OFF else f" {atom.state.word}")
            for atom in sorted(need.any_of, key=str)
        )


def _plain(value: Any) -> str:  # noqa: ANN401 - whatever a field holds
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(sorted(map(str, value)))
    return f"{float(value):g}" if hasattr(value, "numerator") or isinstance(value, float) else str(value)


def _stage(stage: Stage) -> str:
    return show_torque(stage.newton_metres) if isinstance(stage, TorqueQuantity) else stage.text


def exact(seconds: Fraction) -> str:
    """A time to the last digit: what is rounded would hide a difference."""
    whole, rest = divmod(seconds, 60)
    hours, minutes = divmod(int(whole), 60)
    words = [f"{count} {unit}" for count, unit in ((hours, "h"), (minutes, "min")) if count]
    return " ".join([*words, f"{float(rest):g} s"] if rest or not words else words)


def _list(names: Iterable[str]) -> str:
    return ", ".join(sorted(names))
