"""A machine file without faults into the model: every default filled in, every name resolved."""

from __future__ import annotations

from sequencer.machine.building.build_joint import Joints
from sequencer.machine.building.building import atoms_of, boxes, once, renewals, said_by_ways
from sequencer.machine.building.ranges import spreads_of
from sequencer.machine.checks.back_checks import named_otherwise
from sequencer.machine.checks.taken_checks import taken_apart
from sequencer.machine.checks.type_checks import from_type, varies_of
from sequencer.machine.checks.typical_checks import typical_jobs
from sequencer.machine.facts.condition import UNSAID, Condition
from sequencer.machine.facts.frame import Mesh, Tilt
from sequencer.machine.figures import figures_open
from sequencer.machine.model import (
    PLUG,
    Fluid,
    FluidWork,
    Freedom,
    Joint,
    Machine,
    Pace,
    Part,
    Renewal,
    Ride,
    Subject,
    Task,
    Undo,
)
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.tightening import plug_as_joint
from sequencer.machine.reader.walks import walk_seconds
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import (
    ConditionEntry,
    FluidWorkEntry,
    FreedomEntry,
    PartEntry,
    RidesEntry,
    TaskEntry,
    WasteEntry,
    again_after,
)
from sequencer.machine.schema.joint_entry import (
    PlugEntry,
)
from sequencer.machine.trade.kinds import default_seconds, kind_of_joint
from sequencer.machine.trade.relations import FLUID, PART, TASK
from sequencer.torque.fasteners.threads import is_left_hand, sized


def build(scope: Scope) -> Machine:
    """The machine that a file describes. The file has been checked and has no errors."""
    return _Builder(scope).machine()


class _Builder(Joints):
    """Builds one machine."""

    def machine(self) -> Machine:
        entry = self.entry
        pace = {key: seconds for key, seconds in (entry.pace or ()) if seconds is not None}
        found = Machine(
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
            first=once(entry.first),
            condition=_condition(entry.condition),
            spreads=spreads_of(entry),
            tools=self.tools,
            taken_apart=taken_apart(entry, self.tree),
            from_type=from_type(entry),
            jobs=typical_jobs(entry.jobs, self.tree),
        )
        return figures_open(found)

    def _work(self, work: FluidWorkEntry | None, path: Path, default: str) -> FluidWork:
        given = work or FluidWorkEntry()
        return FluidWork(
            position=given.from_ or self.here,
            tool=self._tool(given.tool),
            seconds=default_seconds(default) if given.time is None else given.time,
            waits=self._waits(given, FLUID, path),
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
            cautions=said_by_ways(fluid.caution),
            notes=said_by_ways(fluid.note),
            plug=self._plug(name, plug, drain),
            renew=renewals(plug.renew) if plug else (),
            with_parts=once(fluid.with_),
            again_after=again_after(fluid),
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
            thread=sized(plug.thread),
            left_hand=is_left_hand(plug.thread or ""),
            torque=self._torque(as_joint, path),
            judgement=self.judged[path],
        )

    def _task(self, name: str, task: TaskEntry) -> Task:
        position, tool = task.from_ or self.here, self._tool(task.tool)
        seconds = default_seconds("task") if task.time is None else task.time
        named, only_back = named_otherwise(self.entry, name), bool(task.only)
        undo = None
        if task.undo is not None:
            undo = Undo(
                label=task.undo.label or f"Undo: {task.label or name}",
                position=task.undo.from_ or position,
                tool=tool if task.undo.tool is None else self._tool(task.undo.tool),
                seconds=seconds if task.undo.time is None else task.undo.time,
                people=task.undo.people or task.people or 1,
            )
        return Task(
            name=name,
            position=position,
            tool=tool,
            seconds=seconds,
            place=self._place("tasks", name),
            label=task.label,
            before=atoms_of(task.before),
            rated=bool(task.rated),
            waits=self._waits(task, TASK, ("tasks", name), named),
            **self._links(task, TASK, (name, None)),
            undo=undo,
            cautions=said_by_ways(task.caution, only_back=only_back),
            notes=said_by_ways(task.note, only_back=only_back),
            people=task.people or 1,
            after=once(task.after),
            only_back=only_back,
            filled=once([one for one, section in named.values() if section == "fluids"]),
            undone=once([one for one, section in named.values() if section == "tasks"]),
            back_before=once(task.back_before),
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
            waits=self._waits(part, PART, path),
            loose=self._freedom(name, "loose", part.loose, "loosen"),
            aside=self._freedom(name, "aside", part.aside, "move_aside"),
            tie=part.tie,
            hold=part.hold,
            prepare=once([" ".join(text.split()) for text in part.prepare or []]),
            **self._links(part, PART, (name, None)),
            sealing=self._sealing(part.sealant, path),
            renew=renewals(part.renew) or self._renewed(name, part),
            cautions=said_by_ways(part.caution),
            notes=said_by_ways(part.note),
            boxes=boxes(part.box),
            out=once(part.out),
            tilt=Tilt(part.tilt.about, part.tilt.at, part.tilt.by) if part.tilt else None,
            mesh=Mesh.read(part.mesh, part.mesh_unit) if part.mesh else None,
            seen=None if part.seen is None else once(part.seen),
            people=part.people or 1,
            found=part.found,
            unsure=once(part.unsure),
            varies=varies_of(part),
            rides=self._ride(name, part.rides),
            condition=_condition(part.condition),
        )

    def _renewed(self, name: str, part: PartEntry) -> tuple[Renewal, ...]:
        """A part that is renewed with a fluid is new itself, where nothing else is said to be."""
        fluids = (self.entry.fluids or {}).values()
        return (Renewal(part.label or name),) if any(name in (fluid.with_ or []) for fluid in fluids) else ()

    def _ride(self, part: str, ride: RidesEntry | None) -> Ride | None:
        if ride is None:
            return None
        joints = once([Subject(joint).within(part) for joint in ride.with_])
        return Ride(ride.on, joints, self._place("parts", part, "rides"))

    def _freedom(self, part: str, key: str, freedom: FreedomEntry | None, default: str) -> Freedom | None:
        if freedom is None:
            return None
        joints = once([Subject(joint).within(part) for joint in freedom.joints or []])
        seconds = default_seconds(default) if freedom.time is None else freedom.time
        *via, end = freedom.by or (None,)
        return Freedom(joints, seconds, self._place("parts", part, key), end, tuple(via))


def _condition(entry: ConditionEntry | None) -> Condition:
    return UNSAID if entry is None else Condition(entry.rust, entry.age)
