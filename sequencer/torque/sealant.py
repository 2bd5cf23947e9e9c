"""Sealants and threadlockers: how long there is to assemble, and when the joint may be filled or run.

Times are in seconds. What the tin says goes before the table's values, and a file's before the table's too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction

from sequencer.quantities import parse_seconds
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.torque_tables import by_word, table


@dataclass(frozen=True)
class Sealant:
    """A sealant or threadlocker on a joint.

    Attributes:
        kind: The kind as the table names it, or as the file does where the table lacks it.
        label: What to call it on a sheet.
        assemble_within: Seconds from putting it on to the end of the first tightening pass.
        cure: Seconds from that until it may be filled or run.
        assemble_from: ``file`` or ``default``.
        cure_from: ``file`` or ``default``.
        caution: What to mind.
    """

    kind: str
    label: str
    assemble_within: Fraction
    cure: Fraction
    assemble_from: str = "file"
    cure_from: str = "file"
    caution: str = "Follow what its tin says."


@dataclass(frozen=True)
class Window:
    """Whether the steps after putting a sealant on are done in time.

    Attributes:
        fits: They are.
        seconds: What they take together.
        limit: What there is.
        too_long: The step to blame, the longest, where they don't fit.
        problem: One sentence for a refusal; empty where they fit.
        remedy: What to do about it; empty where they fit.
    """

    fits: bool
    seconds: Fraction
    limit: Fraction
    too_long: str | None = None
    problem: str = ""
    remedy: str = ""


def sealant_of(kind: str, assemble_within: Fraction | None = None, cure: Fraction | None = None) -> Sealant:
    """The sealant of a file's ``{kind: rtv, assemble_within: 10 min, cure: 24 h}``.

    A kind that the table lacks needs both times, in seconds.

    Raises:
        FastenerError: An unknown kind without both times.
    """
    words = by_word("sealants")
    key = words.get(" ".join(kind.split()).casefold())
    if key is None:
        if assemble_within is None or cure is None:
            near = get_close_matches(kind.casefold(), words, n=1)
            hint = f"did you mean {words[near[0]]}? " if near else ""
            known = ", ".join(table("sealants"))
            raise FastenerError(
                f"'{kind}' is no sealant that I know times for",
                f"{hint}write assemble_within and cure as on its tin, or one of {known}",
            )
        return Sealant(kind, kind, assemble_within, cure)
    data = table("sealants")[key]
    return Sealant(
        key,
        data["label"],
        parse_seconds(data["assemble_within"]) if assemble_within is None else assemble_within,
        parse_seconds(data["cure"]) if cure is None else cure,
        "default" if assemble_within is None else "file",
        "default" if cure is None else "file",
        data["caution"],
    )


def within_window(sealant: Sealant, steps: Sequence[tuple[str, Fraction]]) -> Window:
    """Whether ``steps`` (name, seconds), from putting it on to the end of the first pass, fit."""
    total = sum((seconds for _, seconds in steps), Fraction(0))
    if total <= sealant.assemble_within:
        return Window(True, total, sealant.assemble_within)
    name, longest = max(steps, key=lambda step: step[1])
    return Window(
        False,
        total,
        sealant.assemble_within,
        name,
        f"{sealant.label} must be together in {_clock(sealant.assemble_within)}, it takes {_clock(total)}: "
        f"{name} alone takes {_clock(longest)}",
        "do that step before the sealant goes on, or use one that stays open longer",
    )


def _clock(seconds: Fraction) -> str:
    """A time in the words of a workshop: ``45 s``, ``10 min``, ``24 h``, ``1 h 40 min``, rounded up."""
    whole = -(-seconds.numerator // seconds.denominator)
    if whole < 120:
        return f"{whole} s"
    minutes = -(-whole // 60)
    hours, minutes = divmod(minutes, 60) if minutes >= 120 else (0, minutes)
    return " ".join(
        piece for piece in (f"{hours} h" * bool(hours), f"{minutes} min" * bool(minutes)) if piece
    )
