"""The strength guard: what a torque does to a bolt, and whether that can be meant.

Torques come with their unit, as they were written; nothing here guesses a unit, a thread or a class.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from sequencer.quantities import AngleQuantity, Stage, TorqueQuantity, parse_millimetres
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.friction import friction_of
from sequencer.torque.fasteners.strength import strength_of
from sequencer.torque.fasteners.stripping import material_of
from sequencer.torque.fasteners.threads import is_pipe_thread, parse_thread
from sequencer.torque.guard import messages
from sequencer.torque.guard.bolt_case import BoltCase
from sequencer.torque.guard.judgement import SINGLE_USE, Bolt, Judgement, TorqueVerdict
from sequencer.torque.guard.sealing_joint import judge_sealing
from sequencer.torque.guard.slips import likeliest_slip
from sequencer.torque.guard.stages import stage_faults
from sequencer.torque.guard.use import FASTENER, Use

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
    use: Use = FASTENER,
) -> Judgement:
    """Judge the tightening of one joint; all words as a machine file has them.

    Args:
        stages: Torques and angles in order. None at all asks for the computed range alone.
        thread: ``M8``, ``3/8-16 UNC``, ``M10 LH``; without it nothing is judged but the stages themselves.
        property_class: ``8.8``, ``grade 5``, ``A2-70``, of a nut ``8``; without it likewise.
        friction: ``dry``, ``oiled``, ``moly``, ``plated`` …; left out, a wide range is assumed.
        engaged_in: What the thread is cut in: ``aluminium``.
        engagement: How much thread is engaged: ``12 mm``.
        override: Why a torque that is refused is meant all the same.
        use: What the torque is for: of joints that seal, only what can't be is refused.

    Raises:
        QuantityError: A length without a unit, or that can't be read.
    """
    torque, turned = judged_torque(stages)
    faults: list[_Fault] = []
    if thread is not None and is_pipe_thread(thread):
        thread, use = None, use if use.seals else replace(use, seals=True, name="pipe thread")
    bolt = _bolt(thread, property_class, friction, use, faults)
    material = _understood(material_of, engaged_in, faults)
    engaged_mm = None if engagement is None else float(parse_millimetres(engagement))
    if engaged_mm is not None and engaged_in is None:
        faults.append(
            ("an engagement says nothing without what the thread is cut in", "write engaged_in too")
        )
    if use.seals:
        found = judge_sealing(torque, bolt, use)
    elif bolt.thread is None or bolt.strength is None:
        found = _not_judged(torque, bolt, faults, thread, property_class)
    else:
        case = BoltCase(bolt, bolt.thread, bolt.strength, material, engaged_mm, turned)
        found = _without_torque(case) if torque is None else _with_torque(case, torque, stages)
    found = _with_stages(found, stages, use)
    turned = turned and not use.seals
    remedy = found.remedy
    if override and remedy and found.verdict is not TorqueVerdict.NOT_JUDGED:
        remedy = f"it stands, since the file says override: {override}"
    cautions = (SINGLE_USE, *found.cautions) if turned else found.cautions
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


def _with_stages(found: Judgement, stages: Sequence[Stage], use: Use) -> Judgement:
    """The judgement, less sure where the stages themselves are odd, refused where they can't be."""
    faults = stage_faults(stages, seals=use.seals)
    odd = tuple((fault.problem, fault.remedy) for fault in faults if not fault.impossible)
    wrong = next((fault for fault in faults if fault.impossible), None)
    if wrong is None or found.verdict is TorqueVerdict.BEYOND_PROOF:
        return replace(found, odd=odd)
    remedy = f"{wrong.remedy}; if it is meant all the same, write override: and the reason"
    return replace(found, verdict=TorqueVerdict.IMPOSSIBLE, message=wrong.problem, remedy=remedy, odd=odd)


def _with_torque(case: BoltCase, torque: TorqueQuantity, stages: Sequence[Stage]) -> Judgement:
    preload = case.preload(torque)
    hole = case.stripping(preload.usual_n)
    verdict = case.verdict(preload, hole)
    told = torque
    beyond = [one for one in stages if isinstance(one, TorqueQuantity) and case.preload(one).low_share > 1]
    if beyond and verdict is not TorqueVerdict.BEYOND_PROOF:
        # It comes after an angle, where little is known of the preload; but no bolt bears such a torque.
        told, verdict, preload = beyond[0], TorqueVerdict.BEYOND_PROOF, case.preload(beyond[0])
        case = replace(case, turned=False)
    odd = verdict in {TorqueVerdict.LOOSE, TorqueVerdict.HIGH, TorqueVerdict.BEYOND_PROOF}
    slip = likeliest_slip(told, case.share, case.likely) if odd else None
    return Judgement(
        verdict,
        messages.message(case, told, preload, slip, hole if verdict is TorqueVerdict.WOULD_STRIP else None),
        messages.remedy(verdict, slip),
        case.bolt,
        torque,
        preload,
        slip,
        hole,
        case.suggested(),
        cautions=tuple(messages.cautions(case, preload, hole)),
    )


def _without_torque(case: BoltCase) -> Judgement:
    """Nothing to judge: an angle alone, or no figure, for which the computed range may stand in."""
    why = "its angle has no torque before it" if case.turned else "no torque is given"
    return Judgement(
        TorqueVerdict.NOT_JUDGED,
        f"{case.bolt.name} is not judged: {why}",
        "",
        case.bolt,
        suggested=case.suggested(),
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
    return Judgement(TorqueVerdict.NOT_JUDGED, f"{what} is not judged: {why}", remedy, bolt, torque)


def _bolt(
    thread: str | None, property_class: str | None, friction: str | None, use: Use, faults: list[_Fault]
) -> Bolt:
    """The bolt as far as its words make sense; what does not goes to ``faults``."""
    read_thread = _understood(parse_thread, thread, faults)
    strength = None
    if read_thread is not None:
        known = read_thread
        strength = _understood(lambda text: strength_of(text, known, nut=use.nut), property_class, faults)
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
