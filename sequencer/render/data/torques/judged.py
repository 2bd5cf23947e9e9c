"""What the strength guard makes of a torque, and what the calculator at the bench answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.quantities import TORQUE_UNITS, TorqueQuantity
from sequencer.render.data.plain import Record
from sequencer.torque.fasteners.preload import Preload, SuggestedRange
from sequencer.torque.fasteners.stripping import Stripping
from sequencer.torque.guard.judgement import MAKER_FIRST, Judgement, TorqueVerdict
from sequencer.torque.show import show_torque
from sequencer.torque.wrenches.calculator import BenchAnswer
from sequencer.torque.wrenches.wrench import WrenchChoice


class ProblemData(Record):
    """What is wrong or odd, and what to do about it."""

    problem: str
    remedy: str


class FrictionData(Record):
    """How slippery the thread is taken to be."""

    name: str
    k: Annotated[float, "The nut factor."]
    range_: Annotated[Sequence[float], "The lowest and the highest that it may be."]


class FigureData(Record):
    """One torque."""

    text: str
    value: Annotated[Fraction, "In its own unit."]
    unit: str
    newton_metres: Fraction


class SpanData(Record):
    """A figure by the friction: at its highest, as usual, at its lowest."""

    low: float
    usual: float
    high: float


class PreloadData(Record):
    """The pull in the bolt; of a share 1 is its proof load."""

    newtons: SpanData
    proof_newtons: float
    share_of_proof: SpanData


class HoleData(Record):
    """The thread in the hole."""

    material: str
    needed_mm: float
    engaged_mm: Annotated[float | None, "null where nobody has said."]
    holds_newtons: float | None
    would_strip: bool


class SuggestedData(Record):
    """A computed range, each end with its unit."""

    low: str
    high: str
    mark: Annotated[str, "Whose it is, in words: goes wherever the range goes."]


class JudgementData(Record):
    """What the strength guard says, with its figures."""

    verdict: TorqueVerdict
    refused: bool
    message: str
    remedy: str
    override: str | None
    single_use: Annotated[bool, "The fastener is not used twice."]
    cautions: Sequence[str]
    faults: Sequence[ProblemData]
    thread: str | None
    class_: str | None
    friction: FrictionData
    torque: FigureData | None = None
    preload: PreloadData | None = None
    likely_slip: Annotated[str | None, "What was probably meant."] = None
    hole: HoleData | None = None
    suggested: SuggestedData | None = None


def judgement_data(judgement: Judgement) -> JudgementData:
    """A judgement: every torque with its unit."""
    bolt = judgement.bolt
    return JudgementData.of(
        judgement,
        cautions=[*judgement.cautions, MAKER_FIRST],
        faults=[ProblemData(problem=what, remedy=do) for what, do in (*judgement.odd, *judgement.faults)],
        thread=bolt.thread and bolt.thread.name,
        class_=bolt.strength and bolt.strength.name,
        friction=FrictionData.of(bolt.friction, range_=[bolt.friction.low, bolt.friction.high]),
        torque=judgement.torque and FigureData.of(judgement.torque, text=judgement.torque.shown_in()),
        preload=judgement.preload and _preload(judgement.preload),
        likely_slip=judgement.slip and judgement.slip.meant,
        hole=judgement.stripping and _hole(judgement.stripping),
        suggested=judgement.suggested and _suggested(judgement.suggested),
    )


def _preload(preload: Preload) -> PreloadData:
    share = SpanData(low=preload.low_share, usual=preload.usual_share, high=preload.high_share)
    newtons = SpanData(low=preload.low_n, usual=preload.usual_n, high=preload.high_n)
    return PreloadData(newtons=newtons, proof_newtons=preload.proof_n, share_of_proof=share)


def _hole(hole: Stripping) -> HoleData:
    return HoleData.of(hole, material=hole.material.name, holds_newtons=hole.holds_n)


def _suggested(found: SuggestedRange) -> SuggestedData:
    return SuggestedData.of(found, low=show_torque(found.low_nm), high=show_torque(found.high_nm))


class WrittenData(Record):
    """The torque that was asked about."""

    written: str
    newton_metres: Fraction


class AdapterData(Record):
    """What to set the wrench to with an adapter on it."""

    text: str
    newton_metres: Fraction
    adapter_mm: Fraction
    adapter_degrees: float
    wrench_mm: Fraction


class ChoiceData(Record):
    """The owned wrench for it."""

    served: Annotated[bool, "An owned wrench serves."]
    says: Annotated[str, "The setting in words, or why no wrench serves."]
    wrench: str | None = None
    set_to: Annotated[str | None, "The setting on its scale, with the unit."] = None
    newton_metres: Annotated[Fraction | None, "What the fastener gets."] = None
    cautions: Sequence[str] | None = None


class BenchData(Record):
    """What the calculator answers: every torque with its unit."""

    torque: WrittenData | None = None
    units: Annotated[Mapping[str, float] | None, "The torque in each unit."] = None
    shown: Annotated[str | None, "The torque in the unit that was asked for."] = None
    setting: AdapterData | None = None
    wrench: ChoiceData | None = None
    judgement: JudgementData | None = None
    note: str = MAKER_FIRST


def bench_json(answer: BenchAnswer) -> dict[str, Any]:
    """An answer of the calculator as plain data."""
    return BenchData(
        **(_torque(answer.torque, answer.shown_unit) if answer.torque else {}),
        setting=_adapter(answer),
        wrench=_choice(answer.choice) if answer.choice else None,
        judgement=judgement_data(answer.judgement) if answer.judgement else None,
    ).plain()


def _torque(torque: TorqueQuantity, unit: str) -> dict[str, Any]:
    return {
        "torque": WrittenData.of(torque, written=torque.text),
        "units": {unit: float(torque.in_unit(unit)) for unit in TORQUE_UNITS},
        "shown": torque.converted(unit),
    }


def _adapter(answer: BenchAnswer) -> AdapterData | None:
    if answer.setting_nm is None or answer.adapter is None or answer.wrench_mm is None:
        return None
    return AdapterData(
        text=show_torque(answer.setting_nm, answer.shown_unit),
        newton_metres=answer.setting_nm,
        adapter_mm=answer.adapter.length_mm,
        adapter_degrees=answer.adapter.degrees,
        wrench_mm=answer.wrench_mm,
    )


def _choice(choice: WrenchChoice) -> ChoiceData:
    setting = choice.setting
    if setting is None:
        return ChoiceData(served=False, says=choice.message)
    return ChoiceData(
        served=True,
        says=choice.message,
        wrench=setting.wrench.name,
        set_to=setting.scale_text,
        newton_metres=setting.torque_nm,
        cautions=setting.cautions,
    )
