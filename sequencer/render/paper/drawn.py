"""A drawing for print: its lines as a picture, its words set by the typesetter, as all words on paper are.

A picture's own text gets letters of one font for the most part; words that are set get them from whichever
font has them, in the right direction.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import Any

from sequencer.document.bidi import LEFT_TO_RIGHT

_SVG = "http://www.w3.org/2000/svg"
_NUMBERS = re.compile(r"-?[\d.]+")
ET.register_namespace("", _SVG)
ET.register_namespace("xlink", "http://www.w3.org/1999/xlink")

_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}


def drawn(svg: str) -> dict[str, Any]:
    """A drawing as a template reads it: ``svg`` without words, its size in points, the words."""
    root = ET.fromstring(svg)  # noqa: S314 - written by the drawing program a moment ago
    width, height = (float(_NUMBERS.findall(root.get(side, "0"))[0]) for side in ("width", "height"))
    at = _placing(root, width, height)
    texts = []
    for parent in list(root.iter()):
        for text in parent.findall(f"{{{_SVG}}}text"):
            if words := "".join(text.itertext()).replace(LEFT_TO_RIGHT, "").strip("\xa0 \n"):
                texts.append(_text(text, words, at))
            parent.remove(text)
    return {
        "svg": ET.tostring(root, encoding="unicode"),
        "width": width,
        "height": height,
        "lying": width > height,
        "texts": texts,
    }


def _placing(root: ET.Element, width: float, height: float) -> tuple[float, float, float]:
    """Scale, and what is added to x and y before it, from the drawing's own units to points of the page."""
    box = [float(one) for one in _NUMBERS.findall(root.get("viewBox", f"0 0 {width} {height}"))]
    fit = min(width / box[2], height / box[3])
    group = root.find(f"{{{_SVG}}}g")
    told = dict(re.findall(r"(\w+)\(([^)]*)\)", group.get("transform", "") if group is not None else ""))
    scale = float(_NUMBERS.findall(told.get("scale", "1"))[0])
    dx, dy = (float(one) for one in _NUMBERS.findall(told.get("translate", "0 0")))
    left, up = (width - box[2] * fit) / 2 / fit - box[0], (height - box[3] * fit) / 2 / fit - box[1]
    return scale * fit, dx + left / scale, dy + up / scale


def _text(text: ET.Element, words: str, at: tuple[float, float, float]) -> dict[str, Any]:
    scale, dx, dy = at
    blank = 0.0
    if text.get("text-anchor") == "start":
        blank = _leading_blanks("".join(text.itertext())) * 0.25 * float(text.get("font-size", "12"))
    return {
        "words": words,
        "x": scale
        * (float(text.get("x", "0")) + dx + (blank if text.get("text-anchor") == "start" else 0.0)),
        "y": scale * (float(text.get("y", "0")) + dy),
        "size": scale * float(text.get("font-size", "12")),
        "anchor": _ANCHORS.get(text.get("text-anchor", "start"), 0.0),
        "bold": text.get("font-weight") == "bold",
        "slanted": text.get("font-style") == "italic",
        "page": int(text.get("data-page", "0")) or None,
        "light": text.get("fill") == "white",
        "faint": text.get("fill", "black") not in ("black", "#000000", "#303030", "white"),
    }


def _leading_blanks(words: str) -> int:
    return len(words) - len(words.lstrip("\xa0 "))
