"""A judgement in words for a screen or a sheet, and as plain data for JSON. Nothing is computed here."""

from __future__ import annotations

from typing import Any

from sequencer.torque.friction import Friction
from sequencer.torque.judgement import MAKER_FIRST, Judgement, TorqueVerdict
from sequencer.torque.preload import Preload, SuggestedRange
from sequencer.torque.show import show_both, show_torque
from sequencer.torque.stripping import Stripping


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
    lines += [
        f"{problem}; {remedy}"
        for problem, remedy in (*judgement.odd, *judgement.faults)
        if problem not in judgement.message
    ]
    return [*lines, *judgement.cautions, MAKER_FIRST]


def suggestion_words(suggested: SuggestedRange, unit: str = "N.m") -> str:
    """A computed range with its mark, in a unit: ``computed, not the maker's: 14 to 17.6 N.m``."""
    low = show_torque(suggested.low_nm, unit).removesuffix(f" {unit}")
    return f"{suggested.mark}: {low} to {show_torque(suggested.high_nm, unit)}"


def judgement_as_dict(judgement: Judgement) -> dict[str, Any]:
    """A judgement as plain data: every torque with its unit, shares as numbers of which 1 is proof load."""
    bolt = judgement.bolt
    data: dict[str, Any] = {
        "verdict": str(judgement.verdict),
        "refused": judgement.refused,
        "message": judgement.message,
        "remedy": judgement.remedy,
        "override": judgement.override,
        "single_use": judgement.single_use,
        "cautions": [*judgement.cautions, MAKER_FIRST],
        "faults": [
            {"problem": problem, "remedy": remedy} for problem, remedy in (*judgement.odd, *judgement.faults)
        ],
        "thread": bolt.thread.name if bolt.thread else None,
        "class": bolt.strength.name if bolt.strength else None,
        "friction": {
            "name": bolt.friction.name,
            "k": bolt.friction.k,
            "range": [bolt.friction.low, bolt.friction.high],
        },
    }
    if judgement.torque is not None:
        data["torque"] = {
            "text": judgement.torque.shown_in(),
            "value": float(judgement.torque.value),
            "unit": judgement.torque.unit,
            "newton_metres": float(judgement.torque.newton_metres),
        }
    if judgement.preload is not None:
        data["preload"] = _preload_dict(judgement.preload)
    if judgement.slip is not None:
        data["likely_slip"] = judgement.slip.meant
    if judgement.stripping is not None:
        data["hole"] = _hole_dict(judgement.stripping)
    if judgement.suggested is not None:
        data["suggested"] = {
            "low": show_torque(judgement.suggested.low_nm),
            "high": show_torque(judgement.suggested.high_nm),
            "mark": judgement.suggested.mark,
        }
    return data


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


def _preload_dict(preload: Preload) -> dict[str, Any]:
    return {
        "newtons": {"low": preload.low_n, "usual": preload.usual_n, "high": preload.high_n},
        "proof_newtons": preload.proof_n,
        "share_of_proof": {
            "low": preload.low_share,
            "usual": preload.usual_share,
            "high": preload.high_share,
        },
    }


def _hole_dict(hole: Stripping) -> dict[str, Any]:
    return {
        "material": hole.material.name,
        "needed_mm": hole.needed_mm,
        "engaged_mm": hole.engaged_mm,
        "holds_newtons": hole.holds_n,
        "would_strip": hole.would_strip,
    }
