"""A judgement in words for a screen or a sheet. Nothing is computed here."""

from __future__ import annotations

from sequencer.torque.fasteners.friction import Friction
from sequencer.torque.fasteners.preload import Preload, SuggestedRange
from sequencer.torque.fasteners.stripping import Stripping
from sequencer.torque.guard.judgement import MAKER_FIRST, Judgement, TorqueVerdict
from sequencer.torque.show import show_both, torque_range


def judgement_lines(judgement: Judgement) -> list[str]:
    """A judgement in lines of text, the verdict first and the maker's precedence last."""
    judged = judgement.verdict is not TorqueVerdict.NOT_JUDGED
    lines = [f"{judgement.verdict}: {judgement.message}" if judged else judgement.message]
    if judgement.remedy and not judgement.override:
        lines.append(f"do: {judgement.remedy}")
    if judgement.override:
        lines.append(f"overridden: {judgement.override}")
    if judgement.torque is not None:
        lines.append(f"torque: {show_both(judgement.torque)}")
    if judgement.preload is not None:
        lines.append(f"preload: {_preload_words(judgement.preload)}")
        lines.append(f"friction: {_friction_words(judgement.bolt.friction)}")
    if judgement.stripping is not None:
        lines.append(f"hole: {_hole_words(judgement.stripping)}")
    if judgement.suggested is not None:
        unit = "N.m" if judgement.torque is None else judgement.torque.unit
        lines.append(suggestion_words(judgement.suggested, unit))
    said = judgement.verdict is TorqueVerdict.NOT_JUDGED and not judgement.sealing  # in the message
    told = judgement.odd if said else (*judgement.odd, *judgement.faults)
    lines += [f"{problem}; {remedy}" for problem, remedy in told]
    return [*lines, *judgement.cautions, MAKER_FIRST]


def suggestion_words(suggested: SuggestedRange, unit: str = "N.m") -> str:
    """A computed range with its mark, in a unit: ``computed, not the maker's: 14 to 17.6 N.m``."""
    return f"{suggested.mark}: {torque_range(suggested.low_nm, suggested.high_nm, unit)}"


def _preload_words(preload: Preload) -> str:
    return (
        f"{preload.usual_n / 1000:.1f} kN ({preload.low_n / 1000:.1f} to {preload.high_n / 1000:.1f}), "
        f"{preload.usual_share:.0%} of the {preload.proof_n / 1000:.1f} kN proof load "
        f"({preload.low_share:.0%} to {preload.high_share:.0%})"
    )


def _friction_words(friction: Friction) -> str:
    return f"{friction.name}, K {friction.k:.2f} ({friction.low:.2f} to {friction.high:.2f})"


def _hole_words(hole: Stripping) -> str:
    words = f"{hole.material.name}, {hole.needed_mm:.1f} mm of thread needed"
    return words if hole.engaged_mm is None else f"{words}, {hole.engaged_mm:g} mm there"
