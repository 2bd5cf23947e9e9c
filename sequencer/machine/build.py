"""A machine file without faults into the model: every default filled in, every name resolved."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from sequencer.machine.frame import Box
from sequencer.machine.heads import tool_for
from sequencer.machine.items import read_item
from sequencer.machine.kinds import ANY_KIND, default_seconds, kind_of_joint
from sequencer.machine.model import (
    HAND,
    PLUG,
    Atom,
    Crack,
    Fastening,
    Fluid,
    FluidWork,
    Freedom,
    Joint,
    Machine,
    Need,
    Pace,
    Part,
    Place,
    Position,
    Renewal,
    Ride,
    Said,
    Sealing,
    Task,
    Tool,
    Torque,
    Undo,
)
from sequencer.machine.ranges import spreads_of
from sequencer.machine.schema import (
    FluidWorkEntry,
    FreedomEntry,
    PartEntry,
    RidesEntry,
    TaskEntry,
    WasteEntry,
)
from sequencer.machine.schema_joint import (
    BoxEntry,
    FitEntry,
    JointEntry,
    PlugEntry,
    RenewEntry,
    SealantEntry,
)
from sequencer.machine.schema_words import SaidEntry
from sequencer.machine.scope import Scope
from sequencer.machine.tightening import plug_as_joint, stages_of, tightening
from sequencer.machine.walks import walk_seconds
from sequencer.machine.yaml_tree import Path

IMPLICIT_POSITION = "here"
"""The one position of a file that names none."""

_NONE = Fraction(0)


def build(scope: Scope) -> Machine:
    """The machine that a file describes. The file has been checked and has no errors."""
    return _Builder(scope).machine()


def _once(names: list[Any] | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names or []))


def _atoms(raw: list[Any] | None) -> tuple[Atom, ...]:
    found = (spotted.atom for one in raw or [] for spotted in read_item(one, ()).atoms)
    return tuple(dict.fromkeys(found))


def _said(entry: SaidEntry | None) -> Said:
    return Said(_once(entry.in_), _once(entry.back)) if entry else Said()


def _renewals(entries: list[RenewEntry] | None) -> tuple[Renewal, ...]:
    return tuple(Renewal(one.item, one.count or 1, one.price, one.interval) for one in entries or [])


def _boxes(boxes: list[BoxEntry] | None) -> tuple[Box, ...]:
    return tuple(Box(box.at, box.size) for box in boxes or [])


class _Builder:
    """Builds one machine; collects the tools as they are met."""

    def __init__(self, scope: Scope) -> None:
        entry = self.entry = scope.entry
        self.tree = scope.tree
        self.judged = scope.judged
        self.positions = {
            name: Position(
                name,
                at.label or name,
                at.enter or _NONE,
                at.leave or _NONE,
                _said(at.caution),
                at.room or 1,
                needs=_once(at.needs),
                drained=_once(at.drained),
            )
            for name, at in (entry.positions or {}).items()
        } or {IMPLICIT_POSITION: Position(IMPLICIT_POSITION, "Here")}
        self.here = next(iter(self.positions))
        self.tools: dict[str, Tool] = {}
        self.waiting = self._waiting()

    def machine(self) -> Machine:
        entry = self.entry
        pace = {key: seconds for key, seconds in (entry.pace or ()) if seconds is not None}
        return Machine(
            name=entry.machine,
            file=self.tree.file,
            about=entry.about or "",
            start=entry.start,
            pace=Pace(**pace),
            positions=self.positions,
            walks=walk_seconds(entry.walks),
            tasks={name: self._task(name, task) for name, task in (entry.tasks or {}).items()},
            fluids={name: self._fluid(name) for name in entry.fluids or {}},
            parts={name: self._part(name, part) for name, part in entry.parts.items()},
            first=_once(entry.first),
            spreads=spreads_of(entry),
            tools=self.tools,
        )

    def _place(self, *path: str) -> Place:
        return self.tree.place(path, key=True)

    def _needs(self, raw: list[Any] | None, path: Path) -> tuple[Need, ...]:
        """The needs of a list, each once."""
        found: dict[tuple[Atom, ...], Need] = {}
        for number, one in enumerate(raw or []):
            here = (*path, number)
            atoms = tuple(dict.fromkeys(spotted.atom for spotted in read_item(one, here).atoms))
            found.setdefault(atoms, Need(atoms, self.tree.place(here)))
        return tuple(found.values())

    def _waiting(self) -> dict[tuple[str, str | None], list[str]]:
        """For each part and joint that a task says it is before, those tasks in the order of the file."""
        waiting: dict[tuple[str, str | None], list[str]] = {}
        for name, task in (self.entry.tasks or {}).items():
            for atom in (*_atoms(task.before), *_atoms(task.serves)):
                waiting.setdefault((atom.part, atom.joint), []).append(name)
        return waiting

    def _tool(self, name: str | None, head: str | None = None, *, spanner: bool = False) -> str:
        """The name of the tool, which is then among the machine's; a declared one goes before a told one."""
        declared = self.entry.tools or {}
        told = (
            Tool(name, name)
            if name in declared
            else tool_for(name or head or HAND, spanner=spanner and name is None)
        )
        assert told is not None
        if told.name == HAND:
            return HAND
        if told.name in declared:
            given = declared[told.name]
            drive = " ".join((given.drive or "none").split())
            own_drive = None if drive == "none" else drive
            told = Tool(told.name, given.label or told.name, own_drive, given.count or 1)
        self.tools.setdefault(told.name, told)
        return told.name

    def _work(self, work: FluidWorkEntry | None, path: Path, default: str) -> FluidWork:
        given = work or FluidWorkEntry()
        return FluidWork(
            position=given.from_ or self.here,
            tool=self._tool(given.tool),
            seconds=default_seconds(default) if given.time is None else given.time,
            behind=self._needs(given.behind, (*path, "behind")),
        )

    def _fluid(self, name: str) -> Fluid:
        assert self.entry.fluids is not None
        fluid = self.entry.fluids[name]
        litres, text = fluid.volume or (None, None)
        drain = self._work(fluid.drain, ("fluids", name, "drain"), "drain")
        plug = fluid.drain.plug if fluid.drain else None
        return Fluid(
            name=name,
            drain=drain,
            fill=None
            if isinstance(fluid.fill, WasteEntry)
            else self._work(fluid.fill, ("fluids", name, "fill"), "fill"),
            place=self._place("fluids", name),
            label=fluid.label,
            volume_litres=None if litres is None else float(litres),
            volume_text=text,
            cautions=_said(fluid.caution),
            notes=_said(fluid.note),
            plug=self._plug(name, plug, drain),
            renew=_renewals(plug.renew) if plug else (),
            with_parts=_once(fluid.with_),
        )

    def _plug(self, fluid: str, plug: PlugEntry | None, drain: FluidWork) -> Joint | None:
        """The plug as a joint: from where it was drained, in the usual time of a plug."""
        if plug is None:
            return None
        path: Path = ("fluids", fluid, "drain", PLUG)
        as_joint = plug_as_joint(plug)
        kind = kind_of_joint(as_joint.kind)
        assert kind is not None
        return Joint(
            name=PLUG,
            part=fluid,
            kind=kind.name,
            tool=drain.tool if plug.tool is None else self._tool(plug.tool),
            position=drain.position,
            seconds=kind.seconds,
            seconds_from="default",
            place=self._place("fluids", fluid, "drain", PLUG),
            label="drain plug",
            thread=plug.thread,
            torque=self._torque(as_joint, path),
            judgement=self.judged[path],
        )

    def _task(self, name: str, task: TaskEntry) -> Task:
        position, tool = task.from_ or self.here, self._tool(task.tool)
        seconds = default_seconds("task") if task.time is None else task.time
        undo = None
        if task.undo is not None:
            undo = Undo(
                label=task.undo.label or f"Undo: {task.label or name}",
                position=task.undo.from_ or position,
                tool=tool if task.undo.tool is None else self._tool(task.undo.tool),
                seconds=seconds if task.undo.time is None else task.undo.time,
            )
        return Task(
            name=name,
            position=position,
            tool=tool,
            seconds=seconds,
            place=self._place("tasks", name),
            label=task.label,
            before=_atoms(task.before),
            serves=tuple(str(atom) for atom in _atoms(task.serves)),
            behind=self._needs(task.behind, ("tasks", name, "behind")),
            undo=undo,
            cautions=_said(task.caution),
            notes=_said(task.note),
            people=task.people or 1,
            after=_once(task.after),
        )

    def _part(self, name: str, part: PartEntry) -> Part:
        path: Path = ("parts", name)
        position = part.from_ or self.here
        return Part(
            name=name,
            position=position,
            seconds=default_seconds("remove") if part.time is None else part.time,
            seconds_from="default" if part.time is None else "file",
            place=self._place("parts", name),
            joints={
                key: self._joint(name, key, joint, position) for key, joint in (part.joints or {}).items()
            },
            label=part.label,
            subsystem=part.subsystem,
            weight_kg=None if part.weight is None else float(part.weight),
            behind=self._needs(part.behind, (*path, "behind")),
            trapped_by=self._needs(part.trapped_by, (*path, "trapped_by")),
            loose=self._freedom(name, "loose", part.loose, "loosen"),
            aside=self._freedom(name, "aside", part.aside, "move_aside"),
            tie=part.tie,
            hold=part.hold,
            prepare=_once([" ".join(text.split()) for text in part.prepare or []]),
            wet=_once(part.wet),
            needs=self._tasks_before(part.needs, name, None),
            sealing=self._sealing(part.sealant, path),
            renew=_renewals(part.renew) or self._renewed(name, part),
            cautions=_said(part.caution),
            notes=_said(part.note),
            boxes=_boxes(part.box),
            out=_once(part.out),
            mesh=part.mesh,
            seen=None if part.seen is None else _once(part.seen),
            people=part.people or 1,
            found=part.found,
            rides=self._ride(name, part.rides),
        )

    def _renewed(self, name: str, part: PartEntry) -> tuple[Renewal, ...]:
        """A part that is renewed with a fluid is new itself, where nothing else is said to be."""
        fluids = (self.entry.fluids or {}).values()
        return (Renewal(part.label or name),) if any(name in (fluid.with_ or []) for fluid in fluids) else ()

    def _ride(self, part: str, ride: RidesEntry | None) -> Ride | None:
        if ride is None:
            return None
        joints = _once([joint.removeprefix(f"{part}/") for joint in ride.with_])
        return Ride(ride.on, joints, self._place("parts", part, "rides"))

    def _tasks_before(self, own: list[Any] | None, part: str, joint: str | None) -> tuple[str, ...]:
        return _once([*(own or []), *self.waiting.get((part, joint), [])])

    def _freedom(self, part: str, key: str, freedom: FreedomEntry | None, default: str) -> Freedom | None:
        if freedom is None:
            return None
        joints = _once([joint.removeprefix(f"{part}/") for joint in freedom.joints or []])
        seconds = default_seconds(default) if freedom.time is None else freedom.time
        return Freedom(joints, seconds, self._place("parts", part, key), freedom.by)

    def _joint(self, part: str, name: str, joint: JointEntry, position: str) -> Joint:
        path: Path = ("parts", part, "joints", name)
        kind = kind_of_joint(joint.kind)
        general = kind_of_joint(ANY_KIND)
        assert general is not None
        count = joint.count or 1
        seconds, source = (kind or general).seconds * count, "default"
        if joint.time is not None or joint.each is not None:
            seconds, source = joint.time if joint.time is not None else (joint.each or _NONE) * count, "file"
        tool = self._tool(joint.tool, joint.head, spanner=bool(kind and kind.spanner))
        where = joint.from_ or position
        return Joint(
            name=name,
            part=part,
            kind=kind.name if kind else str(joint.kind),
            tool=tool,
            position=where,
            seconds=seconds,
            seconds_from=source,
            place=self._place(*(str(step) for step in path)),
            count=count,
            label=joint.label,
            head=joint.head,
            thread=joint.thread,
            property_class=joint.class_,
            torque=self._torque(joint, path),
            judgement=self.judged[path],
            friction=joint.friction,
            engaged_in=joint.engaged_in,
            engagement=joint.engagement,
            at=tuple(spot for spot in joint.at or () if len(spot) == 2),
            spots=tuple(spot for spot in joint.at or () if len(spot) == 3),
            axis=joint.axis,
            reach=joint.reach,
            swing=joint.swing,
            draw=joint.draw,
            boxes=_boxes(joint.box),
            tolerance=joint.tolerance,
            sealing=self._sealing(joint.sealant, path),
            behind=self._needs(joint.behind, (*path, "behind")),
            wet=_once(joint.wet),
            needs=self._tasks_before(joint.needs, part, name),
            crack=self._crack(joint, seconds, path),
            cautions=_said(joint.caution),
            notes=_said(joint.note),
            found=joint.found,
            fit=self._fit(joint.fit, Fastening(where, tool, seconds, tool)),
        )

    def _sealing(self, sealant: SealantEntry | None, path: Path) -> Sealing | None:
        if sealant is None:
            return None
        place = self.tree.place((*path, "sealant"), key=True)
        return Sealing(sealant.kind, place, sealant.assemble_within, sealant.cure)

    def _crack(self, joint: JointEntry, seconds: Fraction, path: Path) -> Crack | None:
        if joint.crack is None:
            return None
        own = seconds / 3 if joint.crack.time is None else joint.crack.time
        return Crack(_once(joint.crack.while_), own, self.tree.place((*path, "crack"), key=True))

    def _fit(self, fit: FitEntry | None, undone: Fastening) -> Fastening | None:
        """The way back's own; what ``fit`` leaves out is as the joint came apart."""
        if fit is None:
            return None
        tool = undone.tool if fit.tool is None else self._tool(fit.tool)
        return Fastening(
            position=fit.from_ or undone.position,
            tool=tool,
            seconds=undone.seconds if fit.time is None else fit.time,
            socket=undone.tool if tool == HAND else tool,
        )

    def _torque(self, joint: JointEntry, path: Path) -> Torque | None:
        said = tightening(joint)
        stages = stages_of(said)
        if not stages:
            return None
        where = next(said[key][0] for key in ("value", "stages") if key in said)
        return Torque(
            stages=stages,
            place=self.tree.place((*path, *where[:1]), key=True),
            order=tuple(said["order"][1]) if "order" in said else (),
            again=joint.torque.again if joint.torque else None,
            **{key: said[key][1] for key in ("pattern", "source", "override") if key in said},
        )
