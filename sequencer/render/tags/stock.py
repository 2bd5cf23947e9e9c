"""Label sheets: their geometry by numbers, from our file or the user's."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError

DEFAULT = "plain-a4"

_PAIRS = ("page", "label", "pitch", "margin")
_SMALLEST = (40.0, 25.0)
"""Millimetres of a label that still holds a code and the words beside it."""


@dataclass(frozen=True)
class Stock:
    """A sheet of labels; every length is in millimetres.

    Attributes:
        pitch: From one label to the next, to the right and down.
        margin: From the sheet's left and top edge to the first label.
        cut: Plain paper, to be cut along marks.
    """

    name: str
    title: str
    page: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    pitch: tuple[float, float]
    margin: tuple[float, float]
    cut: bool

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """The left top corner of each label, row by row."""
        return tuple(
            (self.margin[0] + column * self.pitch[0], self.margin[1] + row * self.pitch[1])
            for row in range(self.rows)
            for column in range(self.columns)
        )


def stock_named(name: str) -> Stock:
    """A sheet by the name that our file gives it, or from a file of the user's (its first, or ``FILE:name``).

    Raises:
        SequencerError: There is no such sheet, or its numbers don't fit together.
    """
    ours = resources.files("sequencer.render.tags").joinpath("data/stock.toml").read_text(encoding="utf-8")
    known = _read(ours, "stock.toml")
    if name in known:
        return _checked(name, known[name], "stock.toml")
    path, _, wanted = name.partition(".toml:")
    file = Path(f"{path}.toml" if wanted else name)
    if not file.is_file():
        raise SequencerError(
            "there is no such label sheet",
            f"use one of {', '.join(known)}, or name a file that gives its numbers: FILE.toml",
        )
    theirs = _read(file.read_text(encoding="utf-8", errors="replace"), str(file))
    key = wanted or next(iter(theirs), "")
    if key not in theirs:
        raise SequencerError(f"{file}: no label sheet {key!r} in it", f"it has {', '.join(theirs) or 'none'}")
    return _checked(key, theirs[key], str(file))


def _read(text: str, file: str) -> dict[str, Any]:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise SequencerError(f"{file}: {fault}", "write it as the file of the program is written") from None
    return {key: value for key, value in data.items() if isinstance(value, dict)}


def _checked(name: str, data: dict[str, Any], file: str) -> Stock:
    where = f"{file}: [{name}]"
    pairs = {key: _pair(data.get(key), f"{where} {key}") for key in _PAIRS}
    counts = {key: _count(data.get(key), f"{where} {key}") for key in ("columns", "rows")}
    cut = data.get("cut", False) is True
    stock = Stock(name, str(data.get("title", name)), **pairs, **counts, cut=cut)  # type: ignore[arg-type]
    for side, word in enumerate(("width", "height")):
        across = stock.columns if side == 0 else stock.rows
        end = stock.margin[side] + (across - 1) * stock.pitch[side] + stock.label[side]
        if end > stock.page[side] + 0.01:
            raise SequencerError(
                f"{where}: the labels need {end:g} mm and the page has a {word} of {stock.page[side]:g} mm",
                "measure margin, pitch and label again",
            )
        if across > 1 and stock.pitch[side] < stock.label[side]:
            raise SequencerError(f"{where}: labels overlap", "the pitch is at least the label's own size")
        if stock.label[side] < _SMALLEST[side]:
            raise SequencerError(
                f"{where}: a label with a {word} of {stock.label[side]:g} mm holds too little",
                f"use one of at least {_SMALLEST[0]:g} × {_SMALLEST[1]:g} mm",
            )
    return stock


def _pair(value: object, where: str) -> tuple[float, float]:
    numbers = [one for one in value if _is_number(one)] if isinstance(value, list) else []
    if len(numbers) != 2:
        raise SequencerError(f"{where}: two numbers in millimetres are wanted", "write it as [210, 297]")
    return float(numbers[0]), float(numbers[1])


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 2000


def _count(value: object, where: str) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 100:
        raise SequencerError(
            f"{where}: a whole number from 1 to 100 is wanted", "count the labels on the sheet"
        )
    return value
