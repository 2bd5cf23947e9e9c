"""What a joint's torque is for, as far as the kind of joint tells it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Use:
    """What a torque does on a kind of joint.

    Attributes:
        name: The kind, as a message calls it: ``bolt``, ``plug``, ``union``.
        seals: It presses a seal, a flare or a hose, and no preload follows from its thread: drain plugs,
            spark plugs, banjo bolts, unions, hose clamps. Only the maker's figure says how tight.
        nut: Its class may be that of a nut (ISO 898-2).
        most_nm: More than this, in N·m, is odd on such a joint; None where the trade knows no such figure.
    """

    name: str = "fastener"
    seals: bool = False
    nut: bool = False
    most_nm: Fraction | None = None


FASTENER = Use()
"""A fastener that clamps: what a torque is for where nothing else is said."""
