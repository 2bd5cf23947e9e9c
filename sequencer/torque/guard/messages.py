"""What the strength guard says of a case in words: the sentence, what to do about it, what to mind."""

from __future__ import annotations

from sequencer.quantities import TorqueQuantity
from sequencer.torque.fasteners.preload import Preload
from sequencer.torque.fasteners.strength import STAINLESS
from sequencer.torque.fasteners.stripping import Stripping
from sequencer.torque.guard.bolt_case import BoltCase
from sequencer.torque.guard.judgement import TorqueVerdict
from sequencer.torque.guard.slips import Slip


def message(
    case: BoltCase, torque: TorqueQuantity, preload: Preload, slip: Slip | None, hole: Stripping | None
) -> str:
    """One sentence: torque, bolt, and what it comes to; with ``hole`` that its thread is too short."""
    if hole is not None and hole.engaged_mm is not None:
        assumed = "" if case.engaged_mm is not None else " (as much as the trade asks for)"
        return (
            f"{torque.text} on {case.bolt.name} pulls {preload.usual_n / 1000:.1f} kN: too much for "
            f"{hole.engaged_mm:g} mm of thread{assumed} in {hole.material.name}, "
            f"which needs {hole.needed_mm:.1f} mm"
        )
    snug = ", before its angle," if case.turned else ""
    sentence = f"{torque.text}{snug} on {case.bolt.name} is {share_in_words(preload.usual_share)}"
    if preload.low_share <= 1:
        sentence += f" ({preload.low_share:.0%} to {preload.high_share:.0%} over its friction)"
    return f"{sentence}; {slip.meant} would be usual" if slip else sentence


def share_in_words(share: float) -> str:
    """A share of proof load in words: ``72% of its proof load``, ``9 times its proof load``."""
    return f"{share:.0f} times its proof load" if share >= 2 else f"{share:.0%} of its proof load"


def remedy(verdict: TorqueVerdict, slip: Slip | None = None) -> str:
    """What to do about a torque; empty for a usual one."""
    if verdict is TorqueVerdict.USUAL:
        return ""
    if verdict is TorqueVerdict.WOULD_STRIP:
        return "check the engagement, and the torque against the maker's figure; a longer screw holds more"
    check = "check the number and its unit against the maker's figure"
    if slip is not None:
        check += f", and write {slip.meant} if that is what it says"
    if verdict is TorqueVerdict.BEYOND_PROOF:
        check += "; if it is meant all the same, write override: and the reason"
    return check


def cautions(case: BoltCase, preload: Preload, hole: Stripping | None) -> list[str]:
    """What to mind, in whole sentences."""
    found = []
    if case.thread.left:
        found.append("Left-hand thread: it tightens anticlockwise.")
    if not case.friction.told and not case.turned and preload.high_share > 1 >= preload.low_share:
        found.append(
            f"Nothing is said of its friction: where the threads slip easily, that torque reaches "
            f"{preload.high_share:.0%} of proof. Keep to the maker's word, dry or oiled."
        )
    if case.strength.standard == STAINLESS and not case.friction.told:
        found.append("Stainless threads seize when they are run up dry: grease them (common practice).")
    return found if hole is None else [*found, *_of_the_hole(case, hole)]


def _of_the_hole(case: BoltCase, hole: Stripping) -> list[str]:
    if hole.engaged_mm is None:
        diameters = hole.needed_mm / case.thread.diameter_mm
        needed = f"{hole.needed_mm:.1f} mm of thread at the least ({diameters:.1f} diameters)"
        return [f"In {hole.material.name} it needs {needed}."]
    if hole.below_rule and not hole.would_strip:
        thread = f"{hole.engaged_mm:g} mm of thread in {hole.material.name}"
        return [f"{thread} is less than the trade's {hole.material.rule[0]:g} diameters."]
    return []
