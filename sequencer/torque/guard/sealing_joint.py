"""Joints that seal: plugs, banjo bolts, unions, clamps, pipe threads. Their torque is the maker's alone.

No preload is computed for them: a washer, a flare, a taper or a hose says how tight, not the thread. What the
thread can't bear even as a solid bolt is refused all the same, and what is far above the kind is called high.
"""

from __future__ import annotations

from sequencer.quantities import TorqueQuantity
from sequencer.torque.fasteners.preload import preload_range
from sequencer.torque.fasteners.strength import Strength, strength_of
from sequencer.torque.fasteners.threads import Thread
from sequencer.torque.guard.judgement import Bolt, Judgement, TorqueVerdict
from sequencer.torque.guard.messages import remedy
from sequencer.torque.guard.use import Use
from sequencer.torque.show import show_torque

TAKE_THE_MAKERS = "no figure in the file; take the maker's"
"""What stands in the place of a computed range."""


def judge_sealing(torque: TorqueQuantity | None, bolt: Bolt, use: Use) -> Judgement:
    """Judge the torque of a joint that seals; its class, where it is not given, is taken as 8.8 or grade 5.

    Such fittings are bored through, short or soft, and bear less than a solid bolt (common practice).
    """
    kind = f"a {use.name}"
    if torque is None:
        words = f"{kind} seals, and has no computed range: {TAKE_THE_MAKERS}"
        return Judgement(TorqueVerdict.NOT_JUDGED, words, "", bolt, sealing=True)
    if bolt.thread is not None:
        strength = bolt.strength or _solid(bolt.thread)
        preload = preload_range(float(torque.newton_metres), bolt.thread, strength, bolt.friction)
        if preload.usual_share > 1:
            words = (
                f"{torque.text} on {bolt.thread.name} is {preload.usual_share:.0%} of the proof load "
                f"of a solid {strength.name} bolt, and {kind} bears less"
            )
            verdict = TorqueVerdict.BEYOND_PROOF
            return Judgement(verdict, words, remedy(verdict), bolt, torque, preload, sealing=True)
    if use.most_nm is not None and torque.newton_metres > use.most_nm:
        words = (
            f"{torque.text} is more than {kind} usually gets: "
            f"at most {show_torque(use.most_nm)} (common practice)"
        )
        return Judgement(TorqueVerdict.HIGH, words, remedy(TorqueVerdict.HIGH), bolt, torque, sealing=True)
    words = f"{torque.text} is not judged by preload: {kind} seals, and the maker's figure counts"
    return Judgement(TorqueVerdict.NOT_JUDGED, words, "", bolt, torque, sealing=True)


def _solid(thread: Thread) -> Strength:
    return strength_of("8.8" if thread.metric else "5", thread)
