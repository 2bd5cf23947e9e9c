"""What state a machine or a part of it is in: how far rust has gone, and how old it is."""

from __future__ import annotations

from dataclasses import dataclass

RUST = ("none", "light", "heavy")
"""How far it has gone, the least first."""


@dataclass(frozen=True)
class Condition:
    """A state of things; None where nobody says.

    Attributes:
        rust: One of `RUST`.
        years: Its age.
    """

    rust: str | None = None
    years: float | None = None

    def over(self, whole: Condition) -> Condition:
        """This, and where it says nothing what the ``whole`` machine has."""
        return Condition(self.rust or whole.rust, whole.years if self.years is None else self.years)


UNSAID = Condition()
"""Nobody says anything."""
