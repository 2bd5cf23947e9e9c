"""Diagrams on paper: DOT to PDF or PNG by what pip brought along, each sign shown or spelt out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from sequencer.plan.hazards.cautions import notice
from sequencer.render.paper.drawn import drawn
from sequencer.render.paper.glyphs import Glyphs
from sequencer.render.paper.typeset import typeset
from sequencer.render.pictures.dot import render

_BOX = re.compile(r'size="([\d.]+),([\d.]+)"')

SMALLEST = 7.0
"""Points below which a picture can't be read on paper."""

ROOM = {"a4": (545.6, 792.2), "letter": (562.3, 742.4)}
"""Points for a drawing on a sheet, upright or on its side, within the margins of ``common.typ``."""

_LETTERS = 12.0

NARROWER = 0.96
"""What letters are set at: bold ones are wider than those reckoned with, and stay in their boxes so."""


def paper_svg(dot: str) -> str:
    """A drawing as SVG in the letters of our paper, upright where that shows it larger.

    Signs that no font can show are spelt out before it is laid out.
    """
    glyphs = Glyphs([dot])
    for sign in sorted(glyphs.missing, key=len, reverse=True):
        dot = dot.replace(sign, glyphs.shown(sign))
    svg = render(dot, "svg").decode()
    turned = _turned(dot)
    if turned != dot:
        other = render(turned, "svg").decode()
        svg = max(svg, other, key=scale_of)
    return svg


def _turned(dot: str) -> str:
    """The drawing for a sheet that is turned by a right angle."""
    return _BOX.sub(lambda found: f'size="{found[2]},{found[1]}"', dot, count=1)


def scale_of(svg: str) -> float:
    """By how much a drawing was made smaller to fit its sheet."""
    found = re.search(r"scale\(([\d.]+)", svg)
    return float(found[1]) if found else 1.0


def smallest_text(svg: str, paper: str = "a4") -> float:
    """The size in points of the smallest letters of a drawing, as it is printed on a sheet of ``paper``."""
    page = drawn(svg)
    sides: list[float] = sorted((page["width"], page["height"]))
    fit = min(room / side for room, side in zip(ROOM[paper], sides, strict=True))
    return scale_of(svg) * fit * _LETTERS * NARROWER


def pictures(svgs: Sequence[str], job: str, on: date, form: str, paper: str = "a4") -> list[bytes]:
    """Drawings (see ``paper_svg``) as one PDF, a page for each, or as PNG pictures.

    Raises:
        SequencerError: Nothing to draw with, or a page could not be set.
    """
    data = {
        "paper": paper,
        "job": job,
        "notice": notice(),
        "narrower": NARROWER,
        "pictures": [drawn(svg) for svg in svgs],
    }
    return typeset("pictures", data, on, "png" if form == "png" else "pdf")
