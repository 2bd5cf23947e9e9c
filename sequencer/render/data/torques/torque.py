"""A joint's torque, the order of its fasteners, and the wrenches that serve it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.document.steps.torques import stages_words
from sequencer.document.words import tool_words
from sequencer.machine.model import Joint
from sequencer.plan.closing.tightening import order_of, passes_of
from sequencer.plan.closing.toolbox import Equipment, GateWrenches, StageWrench
from sequencer.plan.plan import Plan
from sequencer.render.data.plain import FLAT, Record
from sequencer.render.data.torques.judged import JudgementData, judgement_data
from sequencer.torque.guard.judgement import TorqueVerdict
from sequencer.torque.tightening.bolt_order import BoltOrder
from sequencer.torque.wrenches.wrench import Setting


class OrderData(Record):
    """An order of fasteners, and whose it is."""

    order: Sequence[str]
    labels: Annotated[Sequence[str], "Their names in the order in which the file lists their places."]
    generated: Annotated[bool, "It is the program's, not the maker's."]
    pattern: str
    mark: Annotated[str, "Whose it is, in words: goes wherever the order goes."]


def tightening(order: BoltOrder) -> OrderData:
    """The order of doing up."""
    return OrderData.of(order, order=order.tighten)


def loosening(order: BoltOrder) -> OrderData:
    """The order of undoing; it is always generated."""
    return OrderData.of(order, order=order.loosen, generated=True, mark=order.loosening_mark)


class PassData(Record):
    """One time round the fasteners of a joint."""

    name: Annotated[str, "`snug`, `part`, `full`, `last round`; `stage 1` … and `angle` for the maker's own."]
    setting: Annotated[str, "What to do, with its unit: `by hand`, `15 N.m`, `90 deg`."]
    order: Sequence[str]
    generated: Annotated[bool, "The pass is the program's, not the maker's."]


class TorqueData(Record):
    """A joint's torque: stages as written, each with its unit."""

    stages: Annotated[Sequence[str], "Torques and angles in order, as the file has them."]
    prevailing: Annotated[str | None, "What its self-locking nuts take to turn before they clamp."] = None
    set_to: Annotated[Sequence[str], "The stages as the wrench is set: with the prevailing torque on top."]
    order: Annotated[Sequence[str], "The fasteners in tightening order, where the maker gives one."]
    pattern: str | None
    source: Annotated[str | None, "Where the figure comes from, in the author's words."]
    override: Annotated[str | None, "Why a figure beyond the fastener's proof is meant all the same."]
    verdict: Annotated[TorqueVerdict, "What the strength guard makes of it."]
    single_use: Annotated[bool, "The fastener is not used twice."]
    tightening: Annotated[OrderData | None, "null where nothing tells an order."]
    passes: Sequence[PassData]
    again: Annotated[str | None, "When it is due again after the job."] = None


def torque_data(joint: Joint) -> TorqueData | None:
    """A joint's torque; None where the file gives none."""
    torque = joint.torque
    if torque is None:
        return None
    order, judgement = order_of(joint), joint.judgement
    return TorqueData.of(
        torque,
        stages=[stage.text for stage in torque.seating or torque.stages],
        prevailing=torque.prevailing and torque.prevailing.text,
        set_to=[stage.text for stage in torque.stages],
        verdict=judgement.verdict,
        single_use=judgement.single_use,
        tightening=order and tightening(order),
        passes=passes_of(joint),
    )


class SettingData(Record):
    """A wrench as it is set for one torque."""

    set_to: Annotated[str, "The setting on its scale, with the unit."]
    drive: str | None
    newton_metres: Annotated[Fraction, "What the fastener gets."]
    error_share: Annotated[Fraction, "Largest error of the wrench and of its scale, as a share."]
    overdue: Annotated[bool, "The wrench is due for calibration."]
    cautions: Sequence[str]


class StageWrenchData(Record):
    """The wrench for one torque of a joint."""

    torque: Annotated[str, "What the wrench has to give: the file's, with a prevailing torque on top."]
    says: Annotated[str, "The setting in words, or why no wrench serves."]
    wrench: Annotated[str | None, "null where no owned wrench serves."]
    setting: Annotated[SettingData | None, FLAT] = None


def _stage(stage: StageWrench) -> StageWrenchData:
    setting = stage.setting
    return StageWrenchData(
        torque=stage.stage,
        says=stage.message,
        wrench=setting.wrench.name if setting else None,
        setting=_setting(setting, overdue=stage.overdue) if setting else None,
    )


def _setting(setting: Setting, *, overdue: bool) -> SettingData:
    return SettingData.of(
        setting,
        set_to=setting.scale_text,
        drive=setting.wrench.drive or None,
        newton_metres=setting.torque_nm,
        error_share=setting.error + setting.off_by,
        overdue=overdue,
    )


class WrenchData(Record):
    """The wrenches for one joint."""

    served: Annotated[bool, "An owned wrench serves every torque of it."]
    settings: Sequence[StageWrenchData]
    socket_drives: Annotated[Sequence[str], "Drives its socket is owned in, where no wrench has one of them."]
    override: str | None


def wrench_data(gate: GateWrenches) -> WrenchData:
    """The wrenches for one joint: each setting with its unit."""
    return WrenchData.of(gate, settings=[_stage(stage) for stage in gate.stages], socket_drives=gate.drives)


class MissingData(Record):
    """A tool that the job needs and the toolbox lacks."""

    tool: str
    label: str


class JointWrenchData(Record):
    """The wrenches for one joint, and which that is."""

    joint: Annotated[str, "`part/joint`"]
    wrench: Annotated[WrenchData, FLAT]


class ToolboxData(Record):
    """A plan held against a toolbox."""

    missing: Sequence[MissingData]
    wrenches: Sequence[JointWrenchData]
    cautions: Annotated[Sequence[str], "What to know of the wrenches that would be used."]


def toolbox_data(plan: Plan, kit: Equipment | None) -> ToolboxData | None:
    """What a plan lacks and which wrenches serve it; None without a toolbox."""
    if kit is None:
        return None
    return ToolboxData.of(
        kit,
        missing=[MissingData(tool=tool, label=tool_words(plan.machine, tool)) for tool in kit.missing],
        wrenches=[
            JointWrenchData(joint=path, wrench=wrench_data(gate)) for path, gate in kit.wrenches.items()
        ],
    )


class JointData(Record):
    """One joint: its torque, what its fastener makes of it, and the wrench."""

    joint: Annotated[str, "`part/joint`"]
    count: int
    thread: str | None
    class_: str | None
    torque: Annotated[TorqueData | None, FLAT] = None
    shown: Annotated[str, "The torque in the unit that was asked for; empty without a torque."]
    judgement: JudgementData
    wrench: WrenchData | None = None


def joint_json(joint: Joint, unit: str | None = None, wrenches: GateWrenches | None = None) -> dict[str, Any]:
    """The joint as plain data: every torque with its unit."""
    return JointData.of(
        joint,
        joint=joint.path,
        class_=joint.property_class,
        torque=torque_data(joint),
        shown=stages_words(joint, unit),
        judgement=judgement_data(joint.judgement),
        wrench=wrenches and wrench_data(wrenches),
    ).plain()
