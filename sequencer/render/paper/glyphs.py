"""Which signs the fonts at hand can show, and how the others are spelt out, so that no empty box is printed.

The typesetter itself is asked: each sign is set by itself, and one that comes out as the same drawing as a
code point that no font may have (U+10FFFF, a noncharacter of Unicode) is missing. So the answer is that of
the very fonts with which the page is set afterwards, on a machine with a hundred of them or with none.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import Any

from sequencer.document.bidi import kept_apart
from sequencer.document.clean import clean

LONGEST = 24
"""Letters of a word that must not be broken."""

PIECE = 8
"""Letters after which a longer word may be broken all the same."""

_NOBODY_HAS = "\U0010ffff"
# The fonts are those of common.typ; they come inside the typesetter, so that pages look alike everywhere.
_PROBE = (
    '#set page(width: auto, height: auto)\n#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"))\n'
    "#for sign in json(bytes(sys.inputs.signs)) [#page[#sign]]"
)
_GLYPH = re.compile(r'<use xlink:href="#(g[0-9A-F]+)"')

# What belongs to the sign before it (a plain reading of Unicode's grapheme clusters, UAX #29).
_BELONGS = ("Mn", "Mc", "Me", "Cf")


class Glyphs:
    """What one document's texts need: looked up once for all of them.

    Attributes:
        system_fonts: Whether the machine's own fonts are needed beside those of the typesetter.
        missing: The signs that none of them can show.
    """

    def __init__(self, texts: Iterable[str]) -> None:
        signs = frozenset(sign for text in texts for sign in _clusters(text) if not sign.isascii())
        missing = _missing(signs, system_fonts=False)
        self.system_fonts = False
        if missing:
            found = _missing(missing, system_fonts=True)
            self.system_fonts = found != missing
            missing = found
        self.missing = missing | frozenset(sign for sign in signs if _means_nothing(sign))

    def shown(self, text: str) -> str:
        """``text`` on one line, with what no font can show spelt out: ``[U+1F697 automobile]``."""
        pieces: list[str] = []
        run: list[str] = []
        for sign in (*_clusters(clean(text)), ""):
            if sign in self.missing:
                run.append(sign)
                continue
            if run:
                pieces.append(spelt("".join(run)))
                run = []
            pieces.append(sign)
        return "".join(pieces)


def _means_nothing(sign: str) -> bool:
    """Whether a sign is for private use or not assigned: what a font shows for it says nothing."""
    return any(unicodedata.category(one) in {"Co", "Cn", "Cs"} for one in sign)


def spelt(signs: str) -> str:
    """Signs by their code points; one that is alone by its name as well."""
    seen = [sign for sign in signs if unicodedata.category(sign) != "Cf" and sign != "\ufe0f"] or list(signs)
    codes = " ".join(f"U+{ord(sign):04X}" for sign in seen)
    name = unicodedata.name(seen[0], "").lower() if len(seen) == 1 else ""
    return f"[{codes} {name}]" if name else f"[{codes}]"


def legible(data: Mapping[str, Any], untouched: frozenset[str] = frozenset()) -> tuple[dict[str, Any], bool]:
    """Data with every text in it made fit for print; whether the machine's own fonts are needed for it.

    Texts under the keys in ``untouched`` are pictures, and are left as they are.
    """
    texts: list[str] = []

    def note(text: str) -> str:
        texts.append(text)
        return text

    _walk(data, untouched, note)
    glyphs = Glyphs(texts)
    return _walk(data, untouched, lambda text: kept_apart(breakable(glyphs.shown(text)))), glyphs.system_fonts


def breakable(text: str) -> str:
    """``text`` with places where an overlong word may be broken (U+200B)."""
    return " ".join(
        "\u200b".join(word[start : start + PIECE] for start in range(0, len(word), PIECE))
        if len(word) > LONGEST
        else word
        for word in text.split(" ")
    )


def _walk(data: Any, untouched: frozenset[str], change: Callable[[str], str]) -> Any:  # noqa: ANN401 - JSON
    if isinstance(data, str):
        return change(data)
    if isinstance(data, Mapping):
        return {
            key: value if key in untouched else _walk(value, untouched, change) for key, value in data.items()
        }
    if isinstance(data, list | tuple):
        return [_walk(value, untouched, change) for value in data]
    return data


def _clusters(text: str) -> list[str]:
    found: list[str] = []
    for sign in text:
        if found and unicodedata.category(sign) in _BELONGS:
            found[-1] += sign
        else:
            found.append(sign)
    return found


@lru_cache(maxsize=64)
def _missing(signs: frozenset[str], *, system_fonts: bool) -> frozenset[str]:
    """Those of ``signs`` that the fonts can't show."""
    if not signs:
        return frozenset()
    import typst

    asked = sorted(signs)
    made = typst.compile(
        _PROBE.encode(),
        format="svg",
        ignore_system_fonts=not system_fonts,
        sys_inputs={"signs": json.dumps([_NOBODY_HAS, *asked])},
    )
    pages = [page.decode() for page in made] if isinstance(made, list) else [made.decode()]
    nothing = set(_GLYPH.findall(pages[0]))
    return frozenset(
        sign
        for sign, page in zip(asked, pages[1:], strict=True)
        if not nothing.isdisjoint(_GLYPH.findall(page))
    )
