"""A bolt of which enough is known to judge a torque: its shares of proof load, its hole, the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sequencer.quantities import TorqueQuantity
from sequencer.torque.fasteners.friction import Friction
from sequencer.torque.fasteners.preload import (
    LOOSE_SHARE,
    PERMANENT_SHARE,
    Preload,
    SuggestedRange,
    preload_n,
    preload_range,
    suggested_range,
)
from sequencer.torque.fasteners.strength import Strength, proof_load_n
from sequencer.torque.fasteners.stripping import MARGIN, Material, Stripping, strip_load_n, stripping
from sequencer.torque.fasteners.threads import Thread
from sequencer.torque.guard.judgement import Bolt, TorqueVerdict

ODD_SHARE = 0.25
"""Below this share of proof, even where it slips, a torque is taken for a slip.

Ours: joints on rubber, on paper gaskets and of thin covers have a third of proof and less, while one unit
taken for another (N·m written as lbf·in, lbf·ft as lbf·in) gives a tenth of what was meant.
"""

SNUG_SHARE = 0.10
"""The same for a snug torque before an angle. Ours."""


@dataclass(frozen=True)
class BoltCase:
    """A bolt of which enough is known to judge a torque.

    Attributes:
        engaged_mm: How much thread is engaged; None where nobody said.
        turned: It is turned on by an angle, past yield.
    """

    bolt: Bolt
    thread: Thread
    strength: Strength
    material: Material | None
    engaged_mm: float | None
    turned: bool

    @property
    def friction(self) -> Friction:
        """Its friction."""
        return self.bolt.friction

    @property
    def least(self) -> float:
        """Share of proof at the usual friction below which a torque is loose; none in soft holes."""
        if self.material is not None and self.material.soft:
            return 0.0
        return (SNUG_SHARE if self.turned else ODD_SHARE) * self.friction.low / self.friction.k

    @property
    def likely(self) -> tuple[float, float]:
        """Shares of proof at the usual friction that someone with another unit in mind meant."""
        least = SNUG_SHARE if self.turned else LOOSE_SHARE
        return least * self.friction.low / self.friction.k, PERMANENT_SHARE

    @property
    def hole_mm(self) -> float | None:
        """Thread engaged: as told; in soft holes else the most that the trade asks for; None if unknown."""
        if self.engaged_mm is None and self.material is not None and self.material.soft:
            return self.material.rule[1] * self.thread.diameter_mm
        return self.engaged_mm

    def preload(self, torque: TorqueQuantity) -> Preload:
        """The preload of a torque over the range of friction."""
        return preload_range(float(torque.newton_metres), self.thread, self.strength, self.friction)

    def share(self, torque: Fraction) -> float:
        """Share of proof load at the usual friction, for a torque in N·m."""
        load = preload_n(float(torque), self.thread.diameter_mm, self.friction.k)
        return load / proof_load_n(self.thread, self.strength)

    def stripping(self, load_n: float) -> Stripping | None:
        """How a preload goes with the hole. Not for bolts that are turned on: their preload is not known."""
        if self.material is None or self.turned:
            return None
        return stripping(self.thread, self.material, load_n, self.hole_mm)

    def suggested(self) -> SuggestedRange | None:
        """The computed range. None for bolts that are turned on: no torque stands for that.

        None too for a soft hole of unknown length: the hole gives the range, not the bolt.
        """
        if self.turned or (self.material is not None and self.material.soft and self.engaged_mm is None):
            return None
        hole_n = None
        if self.material is not None and self.engaged_mm is not None:
            hole_n = strip_load_n(self.thread, self.material.shear_mpa, self.engaged_mm) / MARGIN
        return suggested_range(self.thread, self.strength, self.friction, hole_n)

    def verdict(self, preload: Preload, hole: Stripping | None) -> TorqueVerdict:
        """The verdict, the worst first."""
        if preload.low_share > 1:
            return TorqueVerdict.BEYOND_PROOF
        if hole is not None and hole.would_strip:
            return TorqueVerdict.WOULD_STRIP
        if preload.usual_share > PERMANENT_SHARE:
            return TorqueVerdict.HIGH
        return TorqueVerdict.LOOSE if preload.usual_share < self.least else TorqueVerdict.USUAL
