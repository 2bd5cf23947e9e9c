"""The jobs that are often done on a machine: what each takes off, what it is for, what is renewed with it."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.machine.facts.basics import Place


@dataclass(frozen=True)
class TypicalJob:
    """A job that is often done on such a machine.

    Attributes:
        off: What comes off, as ``--off`` takes it: ``head``, ``motor=loose``.
        label: What a person calls it; its name where nobody has said.
        purpose: What it is for: the fault as it shows.
        renew: What to renew with it by experience, in the author's words.
    """

    name: str
    off: tuple[str, ...]
    place: Place
    label: str
    purpose: tuple[str, ...] = ()
    renew: tuple[str, ...] = ()
