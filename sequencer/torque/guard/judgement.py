"""What the strength guard says of one joint: the verdict, and everything that it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from sequencer.quantities import TorqueQuantity
from sequencer.torque.fasteners.friction import Friction, friction_of
from sequencer.torque.fasteners.preload import Preload, SuggestedRange
from sequencer.torque.fasteners.strength import Strength
from sequencer.torque.fasteners.stripping import Stripping
from sequencer.torque.fasteners.threads import Thread
from sequencer.torque.guard.slips import Slip

MAKER_FIRST = "Nothing here replaces the maker's figure."
SINGLE_USE = "Tightened by angle, past yield: fit new bolts, never these again."


class TorqueVerdict(StrEnum):
    """What the guard says of a torque.

    ``loose``: under a quarter of proof load even where the bolt slips easily. ``high``: over 90 % of proof at
    the usual friction, or more than the kind of joint is given. ``beyond proof``: over proof load over the
    whole range of friction. ``would strip``: the thread of the hole is too short for the preload.
    ``impossible``: stages that can't be meant on any fastener. ``not judged``: thread, class or torque is not
    known, or the joint seals.
    """

    LOOSE = "loose"
    USUAL = "usual"
    HIGH = "high"
    BEYOND_PROOF = "beyond proof"
    WOULD_STRIP = "would strip"
    IMPOSSIBLE = "impossible"
    NOT_JUDGED = "not judged"


@dataclass(frozen=True)
class Bolt:
    """A bolt as far as its words could be understood.

    Attributes:
        thread: The thread; ``None`` where it is not given or not understood.
        strength: The class or grade; ``None`` likewise.
        friction: Its friction; the wide range of the unknown where nothing is said.
    """

    thread: Thread | None
    strength: Strength | None
    friction: Friction

    @property
    def name(self) -> str:
        """``M6 8.8``, ``3/8-16 UNC grade 5``, or what is known of it."""
        known = [piece.name for piece in (self.thread, self.strength) if piece is not None]
        return " ".join(known) or "a bolt"


@dataclass(frozen=True)
class Judgement:
    """What the guard found for one joint.

    Attributes:
        verdict: The verdict.
        message: One sentence: torque, bolt, and what it comes to.
        remedy: What to do about it; empty for a usual torque.
        bolt: The bolt that was judged.
        torque: The torque that was judged: the highest, or the snug one before an angle.
        preload: The preload over the range of friction.
        slip: What was probably meant, where the torque is not usual.
        stripping: How the thread in the hole fares, where its material is known.
        suggested: The computed range for this bolt; never to be shown without its mark.
        single_use: There is an angle stage: the bolts are not used twice.
        cautions: What to mind, in whole sentences.
        faults: Words that could not be understood (problem, remedy); the rest was judged without them.
        odd: What is unusual about the stages, and some makers print all the same (problem, remedy).
        sealing: The joint seals, so that nothing is computed for it.
        override: Why a figure that is refused is meant all the same, in the author's words.
    """

    verdict: TorqueVerdict
    message: str
    remedy: str
    bolt: Bolt
    torque: TorqueQuantity | None = None
    preload: Preload | None = None
    slip: Slip | None = None
    stripping: Stripping | None = None
    suggested: SuggestedRange | None = None
    single_use: bool = False
    cautions: tuple[str, ...] = ()
    faults: tuple[tuple[str, str], ...] = ()
    odd: tuple[tuple[str, str], ...] = ()
    sealing: bool = False
    override: str | None = None

    @property
    def remark(self) -> str:
        """What is odd of it: ``high: 50 N.m on M8 8.8 is 147% of its proof load``; empty where nothing is."""
        fine = self.verdict in {TorqueVerdict.USUAL, TorqueVerdict.NOT_JUDGED}
        told = [] if fine else [f"{self.verdict}: {self.message}"]
        return "; ".join((*told, *(f"odd: {problem}" for problem, _ in self.odd)))

    @property
    def refused(self) -> bool:
        """Beyond proof over the whole range of friction, or impossible, overridden or not."""
        return self.verdict in {TorqueVerdict.BEYOND_PROOF, TorqueVerdict.IMPOSSIBLE}

    @property
    def is_error(self) -> bool:
        """Whether its file is refused: no override says why it is meant."""
        return self.refused and not self.override


def not_judged() -> Judgement:
    """What the guard says where nothing is known."""
    return Judgement(
        TorqueVerdict.NOT_JUDGED, "nothing is known of it", "", Bolt(None, None, friction_of(None))
    )
