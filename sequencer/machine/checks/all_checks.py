"""What a person can get wrong in a machine file beyond its shape: names, units, numbers that contradict.

What two entries can't both mean (a part behind itself) is in ``circles``.
"""

from __future__ import annotations

from collections.abc import Container, Iterable

from sequencer.machine.checks.back_checks import (
    check_again,
    check_back,
    check_not_of_the_way_back,
    plainly_named,
)
from sequencer.machine.checks.circles import check_circles
from sequencer.machine.checks.frame_checks import check_joint_frame, check_part_frame
from sequencer.machine.checks.practice_checks import check_carries, check_faces, check_serves, check_settle
from sequencer.machine.checks.readying import check_readying
from sequencer.machine.checks.ride_checks import check_ride
from sequencer.machine.checks.taken_checks import check_taken_apart, check_unsure
from sequencer.machine.checks.type_checks import check_type
from sequencer.machine.checks.typical_checks import JOBS, check_jobs
from sequencer.machine.checks.when_checks import check_when
from sequencer.machine.faults import quote
from sequencer.machine.model import HAND, PLUG, State, Subject
from sequencer.machine.reader.items import ANY
from sequencer.machine.reader.scope import Scope
from sequencer.machine.reader.tightening import check_tightening, plug_as_joint
from sequencer.machine.reader.walks import check_walks
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.entries import (
    FluidEntry,
    FluidWorkEntry,
    FreedomEntry,
    MachineEntry,
    PartEntry,
    PositionEntry,
    TaskEntry,
    ToolEntry,
    UndoEntry,
)
from sequencer.machine.schema.joint_entry import FitEntry, JointEntry, PlugEntry
from sequencer.machine.trade.heads import no_tool, tool_for
from sequencer.machine.trade.kinds import kind_of_joint, kind_words
from sequencer.machine.trade.links import SEALANT, links
from sequencer.machine.trade.relations import FLUID, JOINT, PART, TASK, listed
from sequencer.machine.trade.tables import table
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.sealant import sealant_of

_Speaking = ToolEntry | PositionEntry | FluidEntry | TaskEntry | PartEntry | JointEntry


def check(scope: Scope) -> None:
    """Note every fault of meaning."""
    entry = scope.entry
    _check_top(scope, entry)
    check_walks(scope)
    for name, tool in (entry.tools or {}).items():
        if name == HAND:
            scope.error(("tools", name), "`hand` is there without being declared", "take it out", key=True)
        _check_said(scope, tool, ("tools", name))
    for name, position in (entry.positions or {}).items():
        for key, section in (("needs", "tasks"), ("drained", "fluids")):
            _check_names_of(scope, section, getattr(position, key), ("positions", name, key))
        _check_said(scope, position, ("positions", name))
    for name, fluid in (entry.fluids or {}).items():
        for key, work in (("drain", fluid.drain), ("fill", fluid.fill)):
            _check_work(scope, work, ("fluids", name, key))
        if fluid.drain is not None:
            check_again(scope, name, fluid.drain)
            if fluid.drain.plug is not None:
                _check_plug(scope, name, fluid.drain.plug, ("fluids", name, "drain", PLUG))
        for path, renewed in scope.texts(fluid.with_, ("fluids", name, "with")):
            scope.knows("parts", renewed, path)
        _check_said(scope, fluid, ("fluids", name))
    for name, task in (entry.tasks or {}).items():
        _check_task(scope, task, ("tasks", name))
        check_back(scope, name, task)
    for name, part in entry.parts.items():
        _check_part(scope, name, part)
    check_faces(scope)
    check_not_of_the_way_back(scope)
    check_circles(scope)
    check_readying(scope)
    check_taken_apart(scope)
    check_type(scope)
    check_jobs(scope)


def _check_top(scope: Scope, entry: MachineEntry) -> None:
    if not entry.machine.strip():
        scope.error(("machine",), "the machine has no name", "write one: machine: Bench pump")
    if "parts" in scope.tree.data and scope.tree.at(("parts",)) in ({}, None):
        scope.error(("parts",), "the machine has no parts", "write at least one under parts", key=True)
    if entry.start is not None:
        scope.knows("positions", entry.start, ("start",))
    _check_names_of(scope, "tasks", entry.first, ("first",))
    for section in ("positions", "tools", "fluids", "tasks", "parts"):
        _check_names(scope, scope.names(section), (section,))
    _check_names(scope, entry.jobs or {}, (JOBS,))


def _check_names(scope: Scope, names: Iterable[str], path: Path) -> None:
    for name in names:
        if not name or name != name.strip() or any(sign in name for sign in "/=\n"):
            scope.error(
                (*path, name),
                f"`{quote(name)}` can't be a name" if name else "the name is missing",
                "names are words without / and =, and without blanks at the ends",
                key=True,
            )
        elif name == ANY and path == ("parts",):
            scope.error((*path, name), "a part can't be called `any`", "give it another name", key=True)


def _check_said(scope: Scope, entry: _Speaking, path: Path) -> None:
    """The texts of ``caution`` and ``note`` are texts, for whichever way they are."""
    for key, said in (("caution", entry.caution), ("note", entry.note)):
        for way, texts in (("in", said.in_), ("back", said.back)) if said else ():
            for _ in scope.texts(texts, (*path, key, way), twice=True):
                pass


def _check_names_of(scope: Scope, section: str, raw: list[object] | None, path: Path) -> None:
    for where, name in scope.texts(raw, path):
        scope.knows(section, name, where)


def _check_place_and_tool(
    scope: Scope, entry: FluidWorkEntry | TaskEntry | UndoEntry | JointEntry | FitEntry, path: Path
) -> None:
    if entry.from_ is not None:
        scope.knows("positions", entry.from_, (*path, "from"))
    if entry.tool is not None:
        scope.knows_tool(entry.tool, (*path, "tool"))


def _check_work(scope: Scope, work: FluidWorkEntry | None, path: Path) -> None:
    if work is not None:
        _check_place_and_tool(scope, work, path)
        _check_needs(scope, work, FLUID, path)


def _check_plug(scope: Scope, fluid: str, plug: PlugEntry, path: Path) -> None:
    if plug.tool is not None:
        scope.knows_tool(plug.tool, (*path, "tool"))
    if PLUG in scope.joints(fluid):
        scope.error(
            path,
            f"a part `{quote(fluid)}` has a joint `{PLUG}` too, and both are called `{quote(fluid)}/{PLUG}`",
            "give one of them another name",
            key=True,
        )
    for key in ("when", "from_") if plug.torque is not None else ():
        if getattr(plug.torque, key) is not None:
            scope.error(
                (*path, "torque", key.removesuffix("_")),
                "a plug gets its torque as it goes in",
                "take it out: it can't wait",
                key=True,
            )
    check_tightening(scope, plug_as_joint(plug), path)


def _check_needs(scope: Scope, entry: object, holder: str, path: Path, but: Container[Path] = ()) -> None:
    """What an entry's relations list is there; the places in ``but`` name something else than parts."""
    for relation, raw in listed(entry, holder):
        for item in scope.items(raw, (*path, relation.key)):
            for spotted in item.atoms if item.path not in but else ():
                scope.knows_atom(spotted)


def _check_task(scope: Scope, task: TaskEntry, path: Path) -> None:
    _check_place_and_tool(scope, task, path)
    _check_needs(scope, task, TASK, path, plainly_named(task, str(path[1])))
    _check_names_of(scope, "tasks", task.after, (*path, "after"))
    if task.undo is not None:
        _check_place_and_tool(scope, task.undo, (*path, "undo"))
    for item in scope.items(task.before, (*path, "before")):
        for spotted in item.atoms:
            if len(item.atoms) > 1 or (spotted.atom.joint is None and spotted.atom.state is not State.OFF):
                scope.error(
                    item.path,
                    "`before` takes parts and joints",
                    "write their names alone: [motor, pulley/bolts]",
                )
                break
            scope.knows_atom(spotted)
    check_serves(scope, task, path)
    check_carries(scope, task, path)
    _check_said(scope, task, path)


def _check_part(scope: Scope, name: str, part: PartEntry) -> None:
    path: Path = ("parts", name)
    if part.from_ is not None:
        scope.knows("positions", part.from_, (*path, "from"))
    _check_needs(scope, part, PART, path)
    _check_common(scope, part, path)
    check_ride(scope, name, part)
    for key in ("loose", "aside"):
        _check_freedom(scope, name, getattr(part, key), (*path, key))
    if part.tie is not None and part.aside is None and not scope.tree.at((*path, "aside")):
        scope.error(
            (*path, "tie"),
            f"`{quote(name)}` is never moved aside, so nothing ties it there",
            "say how it is moved aside (aside: yes), or take `tie` out",
            key=True,
        )
    for _ in scope.texts(part.prepare, (*path, "prepare")):
        pass
    open_joints = isinstance(scope.tree.at((*path, "joints")), list | str | dict) or "joints" in (
        part.unsure or ()
    )
    if not scope.joints(name) and not open_joints:
        scope.warning(
            path, f"nothing holds `{quote(name)}`: it has no joints", "add them under joints", key=True
        )
    check_part_frame(scope, part, path)
    _check_names(scope, scope.joints(name), (*path, "joints"))
    for joint_name, joint in (part.joints or {}).items():
        _check_joint(scope, name, joint, (*path, "joints", joint_name))


def _check_common(scope: Scope, entry: PartEntry | JointEntry, path: Path) -> None:
    _check_links(scope, entry, PART, path)
    check_unsure(scope, entry, entry.unsure, path)
    _check_said(scope, entry, path)
    if entry.sealant is not None:
        _check_links(scope, entry.sealant, SEALANT, (*path, "sealant"))
        try:
            sealant_of(entry.sealant.kind, entry.sealant.assemble_within, entry.sealant.cure)
        except FastenerError as fault:
            scope.error((*path, "sealant"), fault.problem, fault.remedy, key=True)


def _check_links(scope: Scope, entry: object, holder: str, path: Path) -> None:
    for one in links(holder):
        _check_names_of(scope, one.names, one.of(entry), (*path, one.key))


def _check_freedom(scope: Scope, part: str, freedom: FreedomEntry | None, path: Path) -> None:
    if freedom is None:
        return
    for where, name in scope.texts(freedom.joints, (*path, "joints")):
        scope.knows_joint(part, Subject(name).within(part), where)


def _check_joint(scope: Scope, part: str, joint: JointEntry, path: Path) -> None:
    _check_place_and_tool(scope, joint, path)
    _check_needs(scope, joint, JOINT, path)
    _check_common(scope, joint, path)
    if joint.fit is not None:
        _check_place_and_tool(scope, joint.fit, (*path, "fit"))
    if joint.crack is not None:
        for where, name in scope.texts(joint.crack.while_, (*path, "crack", "while")):
            if scope.knows("parts", name, where) and name == part:
                scope.error(
                    where,
                    f"`{quote(part)}` can't hold its own joint",
                    "name the parts that hold it meanwhile",
                )
        if not joint.crack.while_:
            scope.error(
                (*path, "crack"), "no part holds it while it is cracked", "write while: [belt]", key=True
            )
    if joint.time is not None and joint.each is not None:
        scope.warning(
            (*path, "each"),
            "there is a time for the whole, and one for each",
            "the time for the whole is used",
            key=True,
        )
    check_settle(scope, joint, path)
    check_tightening(scope, joint, path)
    check_when(scope, scope.entry.parts[part], joint, path)
    check_joint_frame(scope, joint, path)
    _check_kind(scope, joint, path)


_AS_FASTENER = "it is taken as a fastener; write its time"


def _check_kind(scope: Scope, joint: JointEntry, path: Path) -> None:
    kind = kind_of_joint(joint.kind)
    faulty = {"kind", "head", "tool"} & _taken_out(scope, joint, path)
    if joint.kind is None and "kind" not in faulty:
        scope.warning(
            path, "the joint has no kind", "write kind: bolt, nut, screw, connector, clip …", key=True
        )
    elif kind is None:
        said = table("heard")["spoken_kinds"].get((joint.kind or "").casefold())
        advice = (
            f"did you mean `{said}`?" if said else scope.suggest(joint.kind or "", kind_words(), _AS_FASTENER)
        )
        scope.warning(
            (*path, "kind"), f"`{quote(joint.kind)}` is not a kind of joint that is known here", advice
        )
    if joint.head is not None and tool_for(joint.head) is None:
        scope.error((*path, "head"), *no_tool(joint.head))
    needs_tool = not kind.by_hand and joint.kind is not None if kind else False
    unsaid = not {"head", "tool"}.isdisjoint(joint.unsure or ())
    if kind and needs_tool and joint.head is None and joint.tool is None and not faulty and not unsaid:
        scope.warning(
            path,
            "nothing tells its tool, so it is undone by hand",
            "write head: 13, or tool: and its name"
            if kind.headed
            else "name its tool under `tools` and write tool: circlip-pliers",
            key=True,
        )


def _taken_out(scope: Scope, joint: JointEntry, path: Path) -> set[str]:
    """Keys that the file has and the entry lacks, since they were faulty."""
    raw = scope.tree.at(path)
    return (
        {key for key in raw if raw[key] is not None and getattr(joint, key, raw) is None}
        if isinstance(raw, dict)
        else set()
    )
