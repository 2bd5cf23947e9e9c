"""Whether the thread of a hole holds: shear area, and the engagement that a preload needs.

Source: Machinery's Handbook and FED-STD-H28/2, shear area of the internal thread
An = π·Le/P·d_min·(P/2 + 0.57735·(d_min − D2_max)), which they give for Unified threads and which holds for
ISO metric threads too, the profile being the same. Lengths in millimetres, forces in newtons.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from difflib import get_close_matches

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import Thread
from sequencer.torque.torque_tables import by_word, table

MARGIN = 1.25
"""Strength kept in hand: with it the formula gives the trade's 1.5 to 2 diameters in aluminium."""


@dataclass(frozen=True)
class Material:
    """What a thread is cut in: shear strength in MPa, and the trade's rule for engagement, in diameters.

    ``soft``: the hole says how tight, not the bolt, so that little torque is right.
    """

    name: str
    shear_mpa: float
    rule: tuple[float, float]
    source: str
    soft: bool = False


@dataclass(frozen=True)
class Stripping:
    """How a preload and a tapped hole go together.

    Attributes:
        material: What the thread is cut in.
        needed_mm: Engagement that the preload needs, with ``MARGIN`` in hand.
        engaged_mm: Engagement there is; ``None`` if nobody said.
        holds_n: Load at which the engaged thread strips; ``None`` if nobody said how long it is.
        diameter_mm: Nominal diameter of the thread.
    """

    material: Material
    needed_mm: float
    diameter_mm: float
    engaged_mm: float | None = None
    holds_n: float | None = None

    @property
    def would_strip(self) -> bool:
        """Whether the engagement is known, and shorter than what is needed."""
        return self.engaged_mm is not None and self.engaged_mm < self.needed_mm

    @property
    def below_rule(self) -> bool:
        """Whether the engagement is known, and shorter than the trade's rule for the material."""
        return self.engaged_mm is not None and self.engaged_mm < self.material.rule[0] * self.diameter_mm


def material_of(name: str) -> Material:
    """The material ``name`` of a tapped hole.

    Raises:
        FastenerError: No such material.
    """
    words = by_word("materials")
    word = " ".join(name.split()).casefold()
    if word not in words:
        near = get_close_matches(word, words, n=1)
        hint = f"did you mean {words[near[0]]}? " if near else ""
        names = ", ".join(table("materials"))
        raise FastenerError(
            f"'{name}' is no material for a thread that I know", f"{hint}write one of {names}"
        )
    data = table("materials")[words[word]]
    return Material(words[word], data["shear"], tuple(data["rule"]), data["source"], data.get("soft", False))


def thread_shear_area_per_mm(diameter_mm: float, overlap_mm: float, pitch_mm: float) -> float:
    """Shear area of a thread in mm² for each millimetre of engagement.

    For the internal thread, ``diameter_mm`` is the least major diameter of the bolt and ``overlap_mm`` that
    less the greatest pitch diameter of the hole; for the external thread, the greatest minor diameter of the
    hole, and the least pitch diameter of the bolt less that (Machinery's Handbook, formulas 1 to 6).
    """
    return math.pi * diameter_mm / pitch_mm * (pitch_mm / 2 + 0.57735 * overlap_mm)


def least_major_diameter_mm(thread: Thread) -> float:
    """Least major diameter of a 6g bolt in mm (ISO 965-1).

    Deviation 15 + 11·P µm, tolerance 180·P^⅔ − 3.15/√P µm, with P in mm.
    Unified class 2A agrees within 0.01 mm.
    """
    pitch = thread.pitch_mm
    deviation = 15 + 11 * pitch
    tolerance = 180 * math.pow(pitch, 2 / 3) - 3.15 / math.sqrt(pitch)
    return thread.diameter_mm - (deviation + tolerance) / 1000


def greatest_pitch_diameter_mm(thread: Thread) -> float:
    """Greatest pitch diameter of a 6H hole in mm (ISO 965-1: tolerance 1.32 · 90·P^0.4·d^0.1 µm).

    Unified class 2B is the same or up to 0.04 mm smaller, so that the area comes out on the safe side.
    """
    tolerance = 1.32 * 90 * math.pow(thread.pitch_mm, 0.4) * math.pow(thread.diameter_mm, 0.1)
    return thread.pitch_diameter_mm + tolerance / 1000


def strip_load_n(thread: Thread, shear_mpa: float, engaged_mm: float) -> float:
    """Load in newtons at which the thread of a hole strips, for bolts that are harder than the hole."""
    bolt, hole = least_major_diameter_mm(thread), greatest_pitch_diameter_mm(thread)
    return thread_shear_area_per_mm(bolt, bolt - hole, thread.pitch_mm) * engaged_mm * shear_mpa


def stripping(
    thread: Thread, material: Material, load_n: float, engaged_mm: float | None = None
) -> Stripping:
    """How a preload of ``load_n`` newtons and a hole with ``engaged_mm`` of thread go together."""
    needed = MARGIN * load_n / strip_load_n(thread, material.shear_mpa, 1.0)
    holds = None if engaged_mm is None else strip_load_n(thread, material.shear_mpa, engaged_mm)
    return Stripping(material, needed, thread.diameter_mm, engaged_mm, holds)
