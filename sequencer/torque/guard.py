"""The strength guard: what a torque does to a bolt, and whether that can be meant.

Torques come with their unit, as they were written; nothing here guesses a unit, a thread or a class.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from sequencer.quantities import AngleQuantity, Stage, TorqueQuantity, parse_millimetres
from sequencer.torque.errors import FastenerError
from sequencer.torque.friction import Friction, friction_of
from sequencer.torque.judgement import SINGLE_USE, Bolt, Judgement, Verdict
from sequencer.torque.preload import (
    LOOSE_SHARE,
    PERMANENT_SHARE,
    Preload,
    SuggestedRange,
    preload_n,
    preload_range,
    suggested_range,
)
from sequencer.torque.slips import Slip, likeliest_slip
from sequencer.torque.strength import Strength, proof_load_n, strength_of
from sequencer.torque.stripping import MARGIN, Material, Stripping, material_of, strip_load_n, stripping
from sequencer.torque.threads import Thread, parse_thread

SNUG_SHARE = 0.10
"""Below this share of proof, even where it slips, a snug torque before an angle is taken for a slip. Ours."""

_Read = TypeVar("_Read")
_Fault = tuple[str, str]


def judge(
    stages: Sequence[Stage],
    thread: str | None = None,
    property_class: str | None = None,
    *,
    friction: str | None = None,
    engaged_in: str | None = None,
    engagement: str | None = None,
    override: str | None = None,
) -> Judgement:
    """Judge the tightening of one joint; all words as a machine file has them.

    Args:
        stages: Torques and angles in order. None at all asks for the computed range alone.
        thread: ``M8``, ``3/8-16 UNC``; without it nothing is judged.
        property_class: ``8.8``, ``grade 5``; without it nothing is judged.
        friction: ``dry``, ``oiled``, ``moly``, ``plated`` …; left out, a wide range is assumed.
        engaged_in: What the thread is cut in: ``aluminium``.
        engagement: How much thread is engaged: ``12 mm``.
        override: Why a torque beyond proof is meant all the same.

    Raises:
        QuantityError: A length without a unit, or that can't be read.
    """
    torque, turned = judged_torque(stages)
    faults: list[_Fault] = []
    bolt = _bolt(thread, property_class, friction, faults)
    material = _understood(material_of, engaged_in, faults)
    engaged_mm = None if engagement is None else float(parse_millimetres(engagement))
    if engaged_mm is not None and engaged_in is None:
        faults.append(
            ("an engagement says nothing without what the thread is cut in", "write engaged_in too")
        )
    if bolt.thread is None or bolt.strength is None:
        found = _not_judged(torque, bolt, faults, thread, property_class)
    else:
        case = _Case(bolt, bolt.thread, bolt.strength, material, engaged_mm, turned)
        found = _without_torque(case) if torque is None else _with_torque(case, torque)
    cautions = (SINGLE_USE, *found.cautions) if turned else found.cautions
    remedy = found.remedy
    if override and found.refused:
        remedy = f"it stands, since the file says override: {override}"
    return replace(
        found, remedy=remedy, single_use=turned, cautions=cautions, faults=tuple(faults), override=override
    )


def judged_torque(stages: Sequence[Stage]) -> tuple[TorqueQuantity | None, bool]:
    """The torque that a tightening is judged by, and whether it is turned on by an angle, past yield.

    The torque is the highest of the stages, or, where there is an angle, the highest before the first angle.
    """
    torques: list[TorqueQuantity] = []
    turned = False
    for stage in stages:
        if isinstance(stage, AngleQuantity):
            turned = True
        elif not turned:
            torques.append(stage)
    return max(torques, key=lambda torque: torque.newton_metres, default=None), turned


@dataclass(frozen=True)
class _Case:
    """A bolt of which enough is known to judge a torque."""

    bolt: Bolt
    thread: Thread
    strength: Strength
    material: Material | None
    engaged_mm: float | None
    turned: bool

    @property
    def friction(self) -> Friction:
        return self.bolt.friction

    @property
    def usual(self) -> tuple[float, float]:
        """Shares of proof at the usual friction that count as usual."""
        least = SNUG_SHARE if self.turned else LOOSE_SHARE
        return (least * self.friction.low / self.friction.k, PERMANENT_SHARE)

    @property
    def hole_n(self) -> float | None:
        """What the thread of the hole can be trusted with."""
        if self.material is None or self.engaged_mm is None:
            return None
        return strip_load_n(self.thread, self.material.shear_mpa, self.engaged_mm) / MARGIN

    def share(self, torque: Fraction) -> float:
        """Share of proof load at the usual friction, for a torque in N·m."""
        load = preload_n(float(torque), self.thread.diameter_mm, self.friction.k)
        return load / proof_load_n(self.thread, self.strength)

    def stripping(self, load_n: float) -> Stripping | None:
        """How a preload goes with the hole. Not for bolts that are turned on: their preload is not known."""
        if self.material is None or self.turned:
            return None
        return stripping(self.thread, self.material, load_n, self.engaged_mm)

    def suggested(self) -> SuggestedRange | None:
        """The computed range. None for bolts that are turned on: no torque stands for that."""
        if self.turned:
            return None
        return suggested_range(self.thread, self.strength, self.friction, self.hole_n)

    def verdict(self, preload: Preload, hole: Stripping | None) -> Verdict:
        """The verdict, the worst first."""
        if preload.low_share > 1:
            return Verdict.BEYOND_PROOF
        if hole is not None and hole.would_strip:
            return Verdict.WOULD_STRIP
        if preload.usual_share > self.usual[1]:
            return Verdict.HIGH
        return Verdict.LOOSE if preload.usual_share < self.usual[0] else Verdict.USUAL


def _with_torque(case: _Case, torque: TorqueQuantity) -> Judgement:
    preload = preload_range(float(torque.newton_metres), case.thread, case.strength, case.friction)
    hole = case.stripping(preload.usual_n)
    verdict = case.verdict(preload, hole)
    odd = verdict in {Verdict.LOOSE, Verdict.HIGH, Verdict.BEYOND_PROOF}
    slip = likeliest_slip(torque, case.share, case.usual) if odd else None
    return Judgement(
        verdict,
        _message(case, torque, preload, slip, hole if verdict is Verdict.WOULD_STRIP else None),
        _remedy(verdict, slip),
        case.bolt,
        torque,
        preload,
        slip,
        hole,
        case.suggested(),
        cautions=tuple(_cautions(case, preload, hole)),
    )


def _without_torque(case: _Case) -> Judgement:
    """Nothing to judge: an angle alone, or no figure, for which the computed range may stand in."""
    why = "its angle has no torque before it" if case.turned else "no torque is given"
    suggested = (
        None if case.turned else suggested_range(case.thread, case.strength, case.friction, case.hole_n)
    )
    return Judgement(
        Verdict.NOT_JUDGED, f"{case.bolt.name} is not judged: {why}", "", case.bolt, suggested=suggested
    )


def _not_judged(
    torque: TorqueQuantity | None,
    bolt: Bolt,
    faults: Sequence[_Fault],
    thread: str | None,
    property_class: str | None,
) -> Judgement:
    missing = [word for word, text in (("thread", thread), ("class", property_class)) if text is None]
    why = "; ".join(problem for problem, _ in faults) or f"no {' and no '.join(missing)} is given"
    remedy = "; ".join(text for _, text in faults)
    what = bolt.name if torque is None else torque.text
    return Judgement(Verdict.NOT_JUDGED, f"{what} is not judged: {why}", remedy, bolt, torque)


def _message(
    case: _Case, torque: TorqueQuantity, preload: Preload, slip: Slip | None, hole: Stripping | None
) -> str:
    if hole is not None and hole.engaged_mm is not None:
        return (
            f"{torque.text} on {case.bolt.name} pulls {preload.usual_n / 1000:.1f} kN: too much for "
            f"{hole.engaged_mm:g} mm of thread in {hole.material.name}, which needs {hole.needed_mm:.1f} mm"
        )
    snug = ", before its angle," if case.turned else ""
    sentence = f"{torque.text}{snug} on {case.bolt.name} is {share_in_words(preload.usual_share)}"
    if preload.low_share <= 1:
        sentence += f" ({preload.low_share:.0%} to {preload.high_share:.0%} over its friction)"
    return f"{sentence}; {slip.meant} would be usual" if slip else sentence


def share_in_words(share: float) -> str:
    """A share of proof load in words: ``72% of its proof load``, ``9 times its proof load``."""
    return f"{share:.0f} times its proof load" if share >= 2 else f"{share:.0%} of its proof load"


def _remedy(verdict: Verdict, slip: Slip | None) -> str:
    if verdict is Verdict.USUAL:
        return ""
    if verdict is Verdict.WOULD_STRIP:
        return "check the engagement, and the torque against the maker's figure; a longer screw holds more"
    check = "check the number and its unit against the maker's figure"
    if slip is not None:
        check += f", and write {slip.meant} if that is what it says"
    if verdict is Verdict.BEYOND_PROOF:
        check += "; if it is meant all the same, write override: and the reason"
    return check


def _cautions(case: _Case, preload: Preload, hole: Stripping | None) -> list[str]:
    cautions = []
    if not case.friction.told and not case.turned and preload.high_share > 1 >= preload.low_share:
        cautions.append(
            f"Nothing is said of its friction: where the threads slip easily, that torque reaches "
            f"{preload.high_share:.0%} of proof. Keep to the maker's word, dry or oiled."
        )
    if hole is None:
        return cautions
    diameters = hole.needed_mm / case.thread.diameter_mm
    if hole.engaged_mm is None:
        cautions.append(
            f"In {hole.material.name} it needs {hole.needed_mm:.1f} mm of thread at the least "
            f"({diameters:.1f} diameters)."
        )
    elif hole.below_rule and not hole.would_strip:
        cautions.append(
            f"{hole.engaged_mm:g} mm of thread in {hole.material.name} is less than the trade's "
            f"{hole.material.rule[0]:g} diameters."
        )
    return cautions


def _bolt(thread: str | None, property_class: str | None, friction: str | None, faults: list[_Fault]) -> Bolt:
    """The bolt as far as its words make sense; what does not goes to ``faults``."""
    read_thread = _understood(parse_thread, thread, faults)
    strength = None
    if read_thread is not None:
        known = read_thread
        strength = _understood(lambda text: strength_of(text, known), property_class, faults)
    read_friction = _understood(friction_of, friction, faults)
    return Bolt(read_thread, strength, read_friction or friction_of(None))


def _understood(read: Callable[[str], _Read], text: str | None, faults: list[_Fault]) -> _Read | None:
    if text is None:
        return None
    try:
        return read(text)
    except FastenerError as fault:
        faults.append((fault.problem, fault.remedy))
        return None
