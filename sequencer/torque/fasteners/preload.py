"""From torque to preload and back: T = K·F·d, with the share of proof load that it means.

Source: Shigley's Mechanical Engineering Design, section 8-8 (bolt torque). Torque in N·m, force in newtons,
lengths in millimetres. Valid for screw joints tightened by torque, below yield; the scatter of the real
preload is what the range of K stands for.
"""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.torque.fasteners.friction import Friction
from sequencer.torque.fasteners.strength import Strength, proof_load_n
from sequencer.torque.fasteners.threads import Thread

REUSABLE_SHARE = 0.75
"""Preload for joints that are taken apart again, as a share of proof load (Shigley, section 8-9)."""

PERMANENT_SHARE = 0.90
"""Preload for permanent joints (Shigley, section 8-9): the most that anyone asks for by torque."""

LOOSE_SHARE = 0.50
"""Below this share of proof a joint works loose. Common practice: published tables lie from 60 to 90 %."""


def preload_n(torque_nm: float, diameter_mm: float, k: float) -> float:
    """Preload in newtons from a torque in N·m: F = T / (K·d)."""
    return torque_nm / (k * diameter_mm / 1000)


def torque_nm(preload: float, diameter_mm: float, k: float) -> float:
    """Torque in N·m for a preload in newtons: T = K·F·d."""
    return k * preload * diameter_mm / 1000


@dataclass(frozen=True)
class Preload:
    """The preload of one torque over the range of friction, in newtons, beside the bolt's proof load.

    Attributes:
        low_n: At the rough end of K.
        usual_n: At the usual K.
        high_n: At the slippery end of K.
        proof_n: The bolt's proof load.
    """

    low_n: float
    usual_n: float
    high_n: float
    proof_n: float

    @property
    def low_share(self) -> float:
        """Share of proof load at the rough end (1 is proof)."""
        return self.low_n / self.proof_n

    @property
    def usual_share(self) -> float:
        """Share of proof load at the usual K (1 is proof)."""
        return self.usual_n / self.proof_n

    @property
    def high_share(self) -> float:
        """Share of proof load at the slippery end (1 is proof)."""
        return self.high_n / self.proof_n


def preload_range(torque: float, thread: Thread, strength: Strength, friction: Friction) -> Preload:
    """What a torque in N·m does to a bolt, over the whole range of its friction."""
    low, usual, high = (
        preload_n(torque, thread.diameter_mm, k) for k in (friction.high, friction.k, friction.low)
    )
    return Preload(low, usual, high, proof_load_n(thread, strength))


@dataclass(frozen=True)
class SuggestedRange:
    """A torque range computed for a bolt, in N·m; never to be shown without its ``mark``."""

    low_nm: float
    high_nm: float
    mark: str = "computed, not the maker's"


def suggested_range(
    thread: Thread, strength: Strength, friction: Friction, hole_n: float | None = None
) -> SuggestedRange:
    """A torque range for a bolt of which the maker says nothing.

    From half of proof load to three quarters of it at the usual K, and never so high that the slippery
    end of K would pass proof, or that the preload would pass ``hole_n``, what the threads of the hole can
    be trusted with, in newtons.
    """
    proof = proof_load_n(thread, strength)
    loads = [REUSABLE_SHARE * proof, proof * friction.low / friction.k]
    if hole_n is not None:
        loads.append(hole_n)
    high = min(loads)
    low = min(LOOSE_SHARE * proof, 0.8 * high)
    low_nm, high_nm = (torque_nm(load, thread.diameter_mm, friction.k) for load in (low, high))
    return SuggestedRange(low_nm, high_nm)
