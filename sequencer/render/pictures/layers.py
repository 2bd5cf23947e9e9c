"""A small picture of a machine: a cut through it, outermost parts on top, deeper ones darker. Plain SVG."""

from __future__ import annotations

from textwrap import wrap
from xml.sax.saxutils import escape

from sequencer.document.clean import clean
from sequencer.machine.catalogue import ShippedModel
from sequencer.wording import listing

WIDTH = 340
_MARGIN = 10
_LINE = 15
_LETTER = 7.2
"""The width of a letter of size 12, at the widest: 0.6 of the size."""
_MOST = 9
"""Parts of a layer that are named; of more, how many there are."""


def layers_picture(model: ShippedModel) -> str:
    """An SVG picture, 340 units wide, legible in black and white: a band for each layer of parts."""
    bands: list[str] = []
    top = 34.0
    for number, names in enumerate(model.layers):
        named = [clean(model.called(name)) for name in names]
        room = WIDTH - 2 * _inset(number) - 12
        lines = wrap(listing(named, _MOST, between=" · "), int(room / _LETTER)) or [""]
        height = _LINE * len(lines) + 10
        bands += _band(number, len(model.layers), top, height, lines)
        top += height
    title = clean(model.label)
    size = min(14.0, (WIDTH - 2 * _MARGIN) / (0.6 * max(len(title), 1)))
    return "\n".join(
        [
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {top + _MARGIN:g}"'
                f' width="{WIDTH}" height="{top + _MARGIN:g}" font-family="sans-serif">'
            ),
            f"<title>{escape(title)}: its parts from outside in</title>",
            f'<rect width="{WIDTH}" height="{top + _MARGIN:g}" fill="white"/>',
            f'<text x="{_MARGIN}" y="22" font-size="{size:.1f}" font-weight="bold">{escape(title)}</text>',
            *bands,
            "</svg>",
            "",
        ]
    )


def _inset(number: int) -> int:
    return _MARGIN + 3 * min(number, 8)


def _band(number: int, of: int, top: float, height: float, lines: list[str]) -> list[str]:
    """A layer; each is set in a little more than the one above it, as in a cut."""
    inset = _inset(number)
    grey = 250 - round(70 * number / max(of - 1, 1))
    band = (
        f'<rect x="{inset}" y="{top:g}" width="{WIDTH - 2 * inset}" height="{height:g}"'
        f' fill="rgb({grey},{grey},{grey})" stroke="black" stroke-width="0.6"/>'
    )
    words = [
        f'<text x="{inset + 6}" y="{top + 16 + _LINE * place:g}" font-size="12">{escape(line)}</text>'
        for place, line in enumerate(lines)
    ]
    return [band, *words]
