"""Strength of bolts: ISO 898-1 property classes for metric threads, SAE J429 grades for inch threads."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import Thread
from sequencer.torque.torque_tables import table

MPA_PER_KSI = 6.894757293168361
"""1000 lbf/in² in N/mm²: 4448.2216152605 N over 645.16 mm², both exact by definition."""

STAINLESS = "ISO 3506-1"
"""The standard of stainless bolts."""

_STAINLESS = re.compile(r"(A[1-5])\s*[-/ ]?\s*(\d{2,3})", re.IGNORECASE)
_FILLER = re.compile(r"\b(property|class|grade|gr|cl|sae|j429|iso|898-1)\b\.?", re.IGNORECASE)


@dataclass(frozen=True)
class Strength:
    """What a bolt's material bears, in MPa.

    Attributes:
        name: ``8.8``, ``grade 5``, ``A2-70`` or ``nut class 8``.
        standard: ``ISO 898-1``, ``ISO 898-2``, ``ISO 3506-1`` or ``SAE J429``.
        proof_mpa: Stress that must leave no lasting stretch.
        yield_mpa: Least yield strength (or 0.2 % proof strength).
        tensile_mpa: Least tensile strength.
    """

    name: str
    standard: str
    proof_mpa: float
    yield_mpa: float
    tensile_mpa: float


def strength_of(property_class: str, thread: Thread, *, nut: bool = False) -> Strength:
    """The strength of a bolt of ``property_class`` with ``thread``.

    ISO 898-1 covers M1.6 to M39 and splits 8.8 at 16 mm; ISO 3506-1 covers stainless bolts (``A2-70``) up to
    M39; SAE J429 covers 1/4 to 1 1/2 in and splits grade 2 at 3/4 in and grade 5 at 1 in. With ``nut``, the
    class may be that of a nut (ISO 898-2), which stands for the bolts that it may be used with.

    Raises:
        FastenerError: No such class or grade, one of the other system, or a diameter that it does not cover.
    """
    key = _FILLER.sub(" ", property_class).replace(",", ".").strip()
    if match := _STAINLESS.fullmatch(key):
        return _stainless(property_class, match[1].upper(), match[2], thread)
    if nut and thread.metric and key in table("strength")["nut"]:
        return _nut(key, thread)
    iso, sae = table("strength")["iso"], table("strength")["sae"]
    if key not in iso and key not in sae:
        classes = f"an ISO 898-1 class ({', '.join(iso)}), a stainless one (A2-70) or an SAE J429 grade"
        raise FastenerError(
            f"'{property_class}' is not a property class or grade that I know",
            f"write {classes} ({', '.join(sae)})",
        )
    if (key in iso) is not thread.metric:
        raise FastenerError(*_wrong_system(key, thread, iso, sae))
    return _iso(key, iso[key], thread) if thread.metric else _sae(key, sae[key], thread)


def proof_load_n(thread: Thread, strength: Strength) -> float:
    """Proof load in newtons: stress area times proof stress (ISO 898-1, SAE J429)."""
    return thread.stress_area_mm2 * strength.proof_mpa


def _wrong_system(
    key: str, thread: Thread, iso: dict[str, object], sae: dict[str, object]
) -> tuple[str, str]:
    if thread.metric:
        return (
            f"grade {key} is SAE J429, for inch threads, and {thread.name} is metric",
            f"write the number on the bolt's head, one of {', '.join(iso)}; of a nut, with kind: nut",
        )
    return (
        f"class {key} is ISO 898-1, for metric threads, and {thread.name} is an inch thread",
        f"write its SAE J429 grade, one of {', '.join(sae)}: lines on the head, plus two",
    )


def _stainless(text: str, steel: str, key: str, thread: Thread) -> Strength:
    bands = table("strength")["stainless"]
    if key not in bands:
        known = ", ".join(f"{steel}-{one}" for one in bands)
        raise FastenerError(f"'{text}' is no class of stainless bolts that I know", f"write one of {known}")
    return replace(_iso(key, bands[key], thread), name=f"{steel}-{key}", standard=STAINLESS)


def _nut(key: str, thread: Thread) -> Strength:
    data = table("strength")["nut"][key]
    name = f"nut class {key}"
    if "bolt" in data:
        bolt = data["bolt"]
        return replace(_iso(bolt, table("strength")["iso"][bolt], thread), name=name)
    return Strength(name, "ISO 898-2", data["proof"], data["proof"], data["proof"])


def _iso(key: str, bands: list[dict[str, float]], thread: Thread) -> Strength:
    for band in bands:
        if thread.diameter_mm <= band["up_to"]:
            return Strength(key, "ISO 898-1", band["proof"], band["yield"], band["tensile"])
    raise FastenerError(
        f"ISO 898-1 has no class {key} above M{bands[-1]['up_to']:g}", "check the number on the head"
    )


def _sae(key: str, bands: list[dict[str, float]], thread: Thread) -> Strength:
    for band in bands:
        if band["from"] - 1e-9 <= thread.diameter_in <= band["up_to"] + 1e-9:
            stresses = (band[word] * MPA_PER_KSI for word in ("proof", "yield", "tensile"))
            return Strength(f"grade {key}", "SAE J429", *stresses)
    raise FastenerError(
        f"SAE J429 covers 1/4 in to 1 1/2 in, not {thread.name}", "leave the grade out, and follow the maker"
    )
