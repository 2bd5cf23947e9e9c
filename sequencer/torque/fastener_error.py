"""What this room raises when something that a person wrote can't be understood."""

from __future__ import annotations

from sequencer.errors import SequencerError


class FastenerError(SequencerError):
    """A thread, class, friction, material, order or adapter that means nothing, with what to write."""
