"""Screw threads: what is written on a drawing, read into diameter, pitch and stress area.

Metric threads are ISO 68-1 profiles in the sizes of ISO 261; inch threads are the Unified coarse and fine
series of ASME B1.1. Lengths are in millimetres for both.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.torque_tables import table

MM_PER_INCH = 25.4
"""Exact by definition of the international inch."""

_METRIC = re.compile(r"M\s*(\d+(?:\.\d+)?)(?:\s*[x×*-]\s*(\d+(?:\.\d+)?))?", re.IGNORECASE)
_UNIFIED = re.compile(
    r"(?P<size>#\s*\d+|\d+(?:[\s-]+\d+/\d+)|\d+/\d+|\d+)\s*(?:\"|in(?:ch)?\b)?"
    r"(?:\s*-\s*(?P<tpi>\d+))?\s*(?P<series>UNC|UNF|UNS|UN)?",
    re.IGNORECASE,
)
_LEFT = re.compile(r"[\s,-]*(?:LH|left(?:[\s-]*hand(?:ed)?)?)(?:\s+thread)?$", re.IGNORECASE)
_PIPE = re.compile(
    r"(?:G|Rc|Rp|R|BSPP?T?|NPTF?)\s*(?P<after>[0-9 /-]+?)(?:\"|\s*in)?\s*[AB]?"
    r"|[0-9 /-]+?(?:\"|\s*in)?(?:-[0-9.]+)?[\s-]*(?:G|BSPP?T?|NPTF?|NPS[MC]?)",
    re.IGNORECASE,
)
_EXAMPLES = "write M8, M8x1, M10x1.25, 1/4-20 UNC or 3/8 UNF"


@dataclass(frozen=True)
class Thread:
    """A screw thread.

    Attributes:
        name: As a drawing has it: ``M8``, ``M8x1``, ``1/4-20 UNC``.
        diameter_mm: Nominal (major) diameter.
        pitch_mm: Distance from crest to crest.
        metric: ISO metric; otherwise Unified.
        coarse: Coarse series.
        left: Left-hand: it tightens anticlockwise. Its strength is the same.
    """

    name: str
    diameter_mm: float
    pitch_mm: float
    metric: bool = True
    coarse: bool = True
    left: bool = False

    @property
    def diameter_in(self) -> float:
        """Nominal diameter in inches."""
        return self.diameter_mm / MM_PER_INCH

    @property
    def stress_area_mm2(self) -> float:
        """Tensile stress area in mm².

        ISO 898-1: π/4·((d2 + d3)/2)² = π/4·(d − 0.938194·P)². Unified threads (ASME B1.1):
        π/4·(d − 0.9743/n)² with n threads per inch. Holds for bolts up to about 1000 MPa without
        change, and is the conventional area above that too.
        """
        factor = 0.938194 if self.metric else 0.9743
        return math.pi / 4 * (self.diameter_mm - factor * self.pitch_mm) ** 2

    @property
    def pitch_diameter_mm(self) -> float:
        """Basic pitch diameter d2 = d − 0.649519·P (ISO 724; the same profile for Unified threads)."""
        return self.diameter_mm - 0.649519 * self.pitch_mm


def parse_thread(text: str) -> Thread:
    """Read a thread as people write it: ``M8``, ``M10 x 1.25 LH``, ``1/4-20 UNC``, ``3/8 UNF``, ``#10-32``.

    Raises:
        FastenerError: Not a thread, or a size or pitch that the series does not have.
    """
    plain = " ".join(text.split())
    if found := _LEFT.search(plain):
        right = parse_thread(plain[: found.start()])
        return replace(right, name=f"{right.name} LH", left=True)
    if match := _METRIC.fullmatch(plain):
        return _metric(plain, match[1], match[2])
    if match := _UNIFIED.fullmatch(plain):
        return _unified(plain, match["size"], match["tpi"], match["series"])
    raise FastenerError(f"'{text}' is not a thread that I know", _EXAMPLES)


def is_left_hand(text: str) -> bool:
    """Whether a thread, or a pipe thread, is said to be left-hand: ``M10 LH``, ``G 1/4 left-hand``."""
    return _LEFT.search(" ".join(text.split())) is not None


def sized(text: str | None) -> str | None:
    """The thread as it is written; None for none, and where nothing but its hand is said: ``left-hand``."""
    return text if text and _LEFT.sub("", " ".join(text.split())) else None


def is_pipe_thread(text: str) -> bool:
    """Whether it is a pipe thread: ``G 1/4``, ``R 3/8``, ``1/8-27 NPT``. Such threads seal.

    ISO 228-1 (G), ISO 7-1 (R, Rc, Rp), ASME B1.20.1 (NPT).
    """
    return _PIPE.fullmatch(" ".join(text.split())) is not None


def _metric(text: str, size: str, pitch: str | None) -> Thread:
    sizes = table("threads")["metric"]
    key = f"{float(size):g}"
    if key not in sizes:
        near = sorted(sizes, key=lambda other: abs(float(other) - float(size)))[:3]
        raise FastenerError(
            f"ISO 261 has no M{key} (in '{text}')",
            f"the nearest are {', '.join(f'M{other}' for other in sorted(near, key=float))}",
        )
    coarse, *fine = sizes[key]
    chosen = coarse if pitch is None else float(pitch)
    if chosen not in (coarse, *fine):
        known = ", ".join([f"M{key} (pitch {coarse:g})", *(f"M{key}x{other:g}" for other in fine)])
        raise FastenerError(f"M{key} has no pitch of {chosen:g} mm in ISO 261", f"it comes as {known}")
    name = f"M{key}" if chosen == coarse else f"M{key}x{chosen:g}"
    return Thread(name, float(size), chosen, metric=True, coarse=chosen == coarse)


def _unified(text: str, size: str, tpi: str | None, series: str | None) -> Thread:
    if tpi is None and series is None:
        raise FastenerError(f"'{text}' does not say which thread series", _EXAMPLES)
    sizes = table("threads")["unified"]
    key = _unified_size(size, tpi)
    if key not in sizes:
        raise FastenerError(f"the Unified series have no size {key} (in '{text}')", _EXAMPLES)
    both = {name.upper(): count for name, count in sizes[key].items()}
    offered = " or ".join(f"{key}-{count} {name}" for name, count in both.items())
    for name, count in both.items():
        if (tpi is None or int(tpi) == count) and (series is None or series.upper() == name):
            return Thread(
                f"{key}-{count} {name}", _inches(key) * MM_PER_INCH, MM_PER_INCH / count, False, name == "UNC"
            )
    raise FastenerError(
        f"'{text}' is in neither the coarse nor the fine Unified series", f"{key} comes as {offered}"
    )


def _unified_size(size: str, tpi: str | None) -> str:
    """The table's key for a size as written; a bare number above 2 with its threads is a # size."""
    plain = re.sub(r"[\s-]+", " ", size.replace("#", "# ")).replace("# ", "#").strip()
    if tpi is not None and plain.isdigit() and int(plain) > 2:
        return f"#{plain}"
    return plain


def _inches(key: str) -> float:
    if key.startswith("#"):
        return 0.060 + 0.013 * int(key[1:])
    return float(sum(Fraction(piece) for piece in key.split()))
