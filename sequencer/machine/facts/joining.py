"""How a joint comes apart and goes together beyond its own times: torque, crack, sealant, place."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sequencer.machine.facts.basics import Place
from sequencer.quantities import Stage, TorqueQuantity


@dataclass(frozen=True)
class Torque:
    """A tightening.

    Attributes:
        stages: Torques and angles in order, each with its ``text``, as the wrench is set: what a self-locking
            nut takes to turn is in them. None where the figure is open: nobody has said it, and the way back
            asks for it.
        order: Bolt labels in tightening order, where the maker gives one.
        pattern: ``spiral``, ``cross`` or ``line``, where no order is given.
        source: Where the figure comes from, in the author's words.
        override: Why a figure beyond the fastener's proof is meant all the same.
        again: When it is due again after the job; None: never.
        when: What must be back before it, each as its section (``joints`` for a joint) and name.
        when_place: Where the file says so.
        position: From where it is torqued, where that is not where it is fastened from.
        prevailing: What of each torque turns the nut and clamps nothing; None: nothing.
        seating: The stages as the file has them, without that; empty where there is none.
    """

    stages: tuple[Stage, ...]
    place: Place
    order: tuple[str, ...] = ()
    pattern: str | None = None
    source: str | None = None
    override: str | None = None
    again: str | None = None
    when: tuple[tuple[str, str], ...] = ()
    when_place: Place | None = None
    position: str | None = None
    prevailing: TorqueQuantity | None = None
    seating: tuple[Stage, ...] = ()

    @property
    def open(self) -> bool:
        """Whether nobody has said yet how tight."""
        return not self.stages


@dataclass(frozen=True)
class Crack:
    """A joint that is broken loose while other parts still hold it."""

    while_parts: tuple[str, ...]
    seconds: Fraction
    place: Place


@dataclass(frozen=True)
class Sealing:
    """A sealant or threadlocker that goes on when a part or joint is fitted; None for its usual times.

    ``against`` are the fluids that come against it, beside those that its part or joint is wet with.
    """

    kind: str
    place: Place
    assemble_within: Fraction | None = None
    cure: Fraction | None = None
    against: tuple[str, ...] = ()


@dataclass(frozen=True)
class Fastening:
    """How a joint goes together: where from, with what, how long for all of it.

    ``socket`` is what goes on the torque wrench: the tool, or the one that undoes it where this is by hand.
    """

    position: str
    tool: str
    seconds: Fraction
    socket: str
