"""What a job needs and a toolbox has: tools that are missing, and the wrench for each joint with a torque."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path

from sequencer.graph.fastening import TORQUE_DRIVE, tools_in
from sequencer.graph.operations import Kind, Operation, joint_of
from sequencer.machine.faults import Faults
from sequencer.machine.model import HAND, Joint, Machine
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import BROKEN, Tree, compose
from sequencer.machine.trade.heads import tool_for
from sequencer.plan.plan import Plan
from sequencer.quantities import TorqueQuantity
from sequencer.torque.wrenches.toolbox import Toolbox, missing_tools
from sequencer.torque.wrenches.toolbox_file import ToolboxError, ToolboxFault, read_toolbox
from sequencer.torque.wrenches.wrench import Setting, Wrench, calibration, choose_wrench, wrench_setting

_TIGHTENED = frozenset({Kind.TORQUE, Kind.CRACK, Kind.SLACKEN, Kind.UNDO, Kind.DRAIN, Kind.CLOSE})
"""Steps after which, now or on the way back, a joint gets its torque."""

_SOCKETS_DRIVE = "ratchet"


def load_toolbox(path: Path, named: str = "") -> Toolbox:
    """Read a toolbox file; messages call it ``named``, or by its path.

    Raises:
        ToolboxError: With every fault of the file, each with line and column.
    """
    faults = Faults()
    name = named or str(path)
    text = read_source(path, faults, name)
    tree = Tree(name) if text is None else compose(text, name, faults)
    told = [
        ToolboxFault(f"{fault.place}:{fault.place.column}", fault.problem, fault.remedy)
        for fault in faults.sorted()
    ]

    def where(keys: tuple[str | int, ...]) -> str:
        place = tree.place(keys)
        return f"{place}:{place.column}"

    try:
        box = read_toolbox(_mended(tree.data), where)
    except ToolboxError as why:
        told += why.faults
    if told:
        raise ToolboxError(tuple(told))
    return box


def _mended(data: object) -> object:
    """The data without values that were refused already: nothing more is said about them."""
    if isinstance(data, dict):
        return {key: _mended(value) for key, value in data.items() if value is not BROKEN}
    if isinstance(data, list):
        return [_mended(value) for value in data if value is not BROKEN]
    return None if data is BROKEN else data


@dataclass(frozen=True)
class StageWrench:
    """The wrench for one torque of a joint.

    Attributes:
        stage: The torque, as the file has it.
        setting: The wrench and what to set it to; None where no owned wrench serves.
        message: The setting in words, or why none serves.
        overdue: The wrench is due for calibration.
    """

    stage: str
    setting: Setting | None
    message: str
    overdue: bool = False


@dataclass(frozen=True)
class GateWrenches:
    """The wrenches for one joint.

    Attributes:
        joint: ``part/joint``.
        stages: One for each of its torques; none for a joint that is tightened by angle alone.
        drives: Square drives that its socket is owned in, where that is not the drive of the wrench.
        override: Why a torque beyond the fastener's proof is meant all the same; to be shown beside it.
    """

    joint: str
    stages: tuple[StageWrench, ...]
    drives: tuple[str, ...] = ()
    override: str | None = None

    @property
    def served(self) -> bool:
        """Whether owned wrenches serve all its torques."""
        return all(stage.setting is not None for stage in self.stages)


@dataclass(frozen=True)
class Equipment:
    """A job held against a toolbox.

    Attributes:
        missing: Names of tools that the job needs and the toolbox lacks, in the order of need.
        wrenches: For each joint that gets a torque, in the order of the plan.
        cautions: What to know of the wrenches that would be used, each once: calibration, scale.
    """

    missing: tuple[str, ...]
    wrenches: Mapping[str, GateWrenches]
    cautions: tuple[str, ...]

    @property
    def unserved(self) -> tuple[GateWrenches, ...]:
        """The joints that no owned wrench serves."""
        return tuple(gate for gate in self.wrenches.values() if not gate.served)


def equipment(plan: Plan, box: Toolbox, today: date) -> Equipment:
    """Hold a plan against a toolbox on a day; on the way in also for the torques of the way back."""
    wrenches: dict[str, GateWrenches] = {}
    for operation in plan.operations:
        joint = joint_of(plan.machine, operation) if operation.kind in _TIGHTENED else None
        if joint is not None and joint.torque is not None and joint.path not in wrenches:
            wrenches[joint.path] = wrenches_for(joint, box, today)
    settings = [stage.setting for gate in wrenches.values() for stage in gate.stages if stage.setting]
    cautions = dict.fromkeys(caution for setting in settings for caution in setting.cautions)
    return Equipment(missing(plan.machine, plan.operations, box), wrenches, tuple(cautions))


def missing(machine: Machine, operations: Iterable[Operation], box: Toolbox) -> tuple[str, ...]:
    """Names of the tools that the box lacks; of a torque wrench only what goes on it is looked at here."""
    needed = dict.fromkeys(tool for op in operations if (tool := _turned_with(op.tool)) != HAND)
    lacking = missing_tools(((tool, _owned_head(box, tool)) for tool in needed), box)
    return tuple(
        tool
        for tool in lacking
        if not (_driver_owned(box, tool) or (tool in machine.tools and box.owns(machine.tools[tool].label)))
    )


def wrenches_for(joint: Joint, box: Toolbox, today: date) -> GateWrenches:
    """The owned wrench for each torque of a joint, one wrench for all of them where one serves."""
    stages = joint.torque.stages if joint.torque else ()
    torques = [stage for stage in stages if isinstance(stage, TorqueQuantity)]
    drives = drives_for(box, joint.together.socket)
    pool = _all_round(box.wrenches, torques, today, drives) or box.wrenches
    found = []
    for torque in torques:
        choice = choose_wrench(pool, torque.newton_metres, today, drives=drives or None)
        overdue = choice.setting is not None and calibration(choice.setting.wrench, today).overdue is True
        found.append(StageWrench(torque.shown_in(), choice.setting, choice.message, overdue))
    used = {stage.setting.wrench.drive for stage in found if stage.setting and stage.setting.wrench.drive}
    return GateWrenches(
        joint.path, tuple(found), () if used <= {*drives} else drives, joint.judgement.override
    )


def _all_round(
    wrenches: Sequence[Wrench], torques: Sequence[TorqueQuantity], today: date, drives: Sequence[str]
) -> list[Wrench]:
    """The best of the wrenches that serve every one of the torques; empty where none does."""

    def serves(wrench: Wrench, torque: TorqueQuantity) -> bool:
        return isinstance(wrench_setting(wrench, torque.newton_metres, today), Setting)

    most = max((torque.newton_metres for torque in torques), default=Fraction(0))
    able = [wrench for wrench in wrenches if all(serves(wrench, torque) for torque in torques)]
    best = choose_wrench(able, most, today, drives=drives or None).setting if torques else None
    return [best.wrench] if best else []


def drives_for(box: Toolbox, tool: str) -> tuple[str, ...]:
    """The square drives that a socket or bit is owned in, by the tool's name."""
    return tuple(drive for drive, heads in box.sockets.items() if any(_turns(head, tool) for head in heads))


def _turned_with(tool: str) -> str:
    """The tool itself, or what goes on the torque wrench; ``hand`` for a torque wrench with nothing on it."""
    first, *bit = tools_in(tool)
    return (*bit, HAND)[0] if first == TORQUE_DRIVE else tool


def _turns(head: str, tool: str) -> bool:
    """Whether ``tool`` is the one that turns ``head``, however either is spelt."""
    turned = tool_for(head)
    return turned is not None and turned.name == tool


def _owned_head(box: Toolbox, tool: str) -> str | None:
    """How the box spells the head that ``tool`` turns, where it has a drive for it."""
    spelt = (head for heads in box.sockets.values() for head in sorted(heads) if _turns(head, tool))
    return next((head for head in spelt if box.owns(tool, head)), None)


def _driver_owned(box: Toolbox, tool: str) -> bool:
    """Whether a screwdriver is in the box under its head's name: ``PH2``."""
    turned = (tool_for(word) for word in box.tools)
    return any(one is not None and one.name == tool and one.drive != _SOCKETS_DRIVE for one in turned)
