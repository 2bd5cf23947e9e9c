"""Reading a toolbox file from plain data, all its faults at once.

    wrenches:
      small clicker: {range: 5 to 25 N.m, graduation: 0.5, drive: 1/4 in, accuracy: 4 %, length: 230 mm,
                      calibrated: 2024-03-01, cycles: 1200}
      long bar:      {range: [40 lbf.ft, 150 lbf.ft], drive: 1/2 in}
    sockets: {1/4 in: [7, 8, 10, T25], 1/2 in: [13, 16, 18, E14]}
    drives: [1/4 in, 1/2 in]
    tools: [long-bar, jack, hex-6]

Of a wrench only the range is required. ``graduation`` is in the unit of the range; ``length`` runs from the
middle of the grip to the middle of the square drive; ``cycles`` counts the clicks since the calibration. The
YAML is parsed elsewhere: here come plain data, and a callable that says where a path of keys is written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from fractions import Fraction
from typing import TypeVar

from sequencer.errors import SequencerError
from sequencer.quantities import TorqueQuantity, parse_millimetres, parse_torque
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.wrenches.toolbox import Toolbox, plain_head, plain_word
from sequencer.torque.wrenches.wrench import Wrench

Path = tuple[str | int, ...]
Where = Callable[[Path], str]
_Value = TypeVar("_Value")

_SECTIONS = ("wrenches", "sockets", "drives", "tools")
_WRENCH_WORDS = ("range", "graduation", "drive", "accuracy", "length", "calibrated", "cycles")
_RANGE = re.compile(
    r"(?P<low>\d[\d.]*)(?P<unit>[^\d]*?)\s*(?:\bto\b|\.\.|-|–)\s*(?P<high>\d[\d.]*)(?P<last>\D+)"
)
_RANGE_REMEDY = "write its lowest mark and its full scale, as in 'range: 5 to 25 N.m'"


@dataclass(frozen=True)
class ToolboxFault:
    """One fault: where it is (as ``where`` says it), what is wrong, and what to do."""

    place: str
    problem: str
    remedy: str

    def __str__(self) -> str:
        return (
            f"{self.place}: {self.problem}; {self.remedy}" if self.remedy else f"{self.place}: {self.problem}"
        )


class ToolboxError(SequencerError):
    """A toolbox file with faults; ``faults`` has them all."""

    def __init__(self, faults: tuple[ToolboxFault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


def read_toolbox(data: object, where: Where) -> Toolbox:
    """The toolbox in ``data``: mappings, lists and scalars as YAML 1.2 gives them (scalars may also be text).

    Raises:
        ToolboxError: With every fault that the file has.
    """
    reader = _Reader(where)
    box = reader.toolbox(data)
    if reader.faults:
        raise ToolboxError(tuple(reader.faults))
    return box


@dataclass
class _Reader:
    where: Where
    faults: list[ToolboxFault] = field(default_factory=list)

    def toolbox(self, data: object) -> Toolbox:
        top = self.mapping((), {} if data is None else data, _SECTIONS)
        wrenches = self.mapping(("wrenches",), top.get("wrenches") or {})
        sockets = self.mapping(("sockets",), top.get("sockets") or {})
        return Toolbox(
            tuple(w for name, words in wrenches.items() if (w := self.wrench(name, words)) is not None),
            {
                plain_head(drive): frozenset(map(plain_head, self.words(("sockets", drive), heads)))
                for drive, heads in sockets.items()
            },
            frozenset(map(plain_head, self.words(("drives",), top.get("drives") or []))),
            frozenset(map(plain_word, self.words(("tools",), top.get("tools") or []))),
        )

    def wrench(self, name: str, data: object) -> Wrench | None:
        at: Path = ("wrenches", name)
        words = self.mapping(at, data, _WRENCH_WORDS)
        if "range" not in words:
            self.fault(at, f"the wrench {name} has no range", _RANGE_REMEDY)
            return None
        scale = self.attempt((*at, "range"), lambda: _scale(words["range"]))
        unit = scale[1].unit if scale else "N.m"

        def optional(word: str, read: Callable[[str], _Value]) -> _Value | None:
            if words.get(word) is None:
                return None
            return self.attempt((*at, word), lambda: read(str(words[word])))

        graduation = optional("graduation", lambda text: _graduation(text, unit))
        drive = optional("drive", plain_head)
        accuracy = optional("accuracy", _share)
        length = optional("length", parse_millimetres)
        calibrated = optional("calibrated", _day)
        cycles = optional("cycles", _count)
        if scale is None:
            return None
        return Wrench(name, *scale, drive or "", graduation, accuracy, length, calibrated, cycles)

    def mapping(self, at: Path, data: object, known: tuple[str, ...] = ()) -> dict[str, object]:
        """``data`` as a mapping with text for keys; unknown keys are faults where ``known`` lists them."""
        if not isinstance(data, Mapping):
            what = ", ".join(known) or "names"
            self.fault(at, "a mapping is expected here", f"write key: value lines ({what})")
            return {}
        words = {str(key): value for key, value in data.items()}
        for key in words:
            if known and key not in known:
                near = get_close_matches(key, known, n=1)
                hint = f"did you mean {near[0]}?" if near else f"write one of {', '.join(known)}"
                self.fault((*at, key), f"'{key}' means nothing here", hint)
        return words

    def words(self, at: Path, data: object) -> list[str]:
        if not isinstance(data, list | tuple):
            self.fault(at, "a list is expected here", "write [ … ] or lines that begin with a hyphen")
            return []
        return [str(word) for word in data]

    def attempt(self, at: Path, read: Callable[[], _Value]) -> _Value | None:
        try:
            return read()
        except SequencerError as fault:
            self.fault(at, fault.problem, fault.remedy)
            return None

    def fault(self, at: Path, problem: str, remedy: str) -> None:
        self.faults.append(ToolboxFault(self.where(at), problem, remedy))


def _scale(data: object) -> tuple[TorqueQuantity, TorqueQuantity]:
    """Lowest mark and full scale from ``5 to 25 N.m`` or ``[5 N.m, 25 N.m]``."""
    if isinstance(data, list | tuple) and len(data) == 2:
        low_text, high_text = str(data[0]), str(data[1])
    elif match := _RANGE.fullmatch(str(data).strip()):
        low_text = match["low"] + (match["unit"].strip() or match["last"])
        high_text = match["high"] + match["last"]
    else:
        raise FastenerError(f"'{data}' is not the range of a wrench", _RANGE_REMEDY)
    low, high = parse_torque(low_text), parse_torque(high_text)
    if low.newton_metres >= high.newton_metres:
        raise FastenerError(f"the range '{low.text}' to '{high.text}' does not rise", _RANGE_REMEDY)
    return low, high


def _graduation(text: str, unit: str) -> Fraction:
    """The step of a scale in its unit, written as a number or with a unit."""
    step = _number(text)
    if step is None:
        return parse_torque(text).in_unit(unit)
    if step <= 0:
        raise FastenerError(f"'{text}' is no step of a scale", "write it as in 'graduation: 0.5'")
    return step


def _share(text: str) -> Fraction:
    """An accuracy as a share: ``4 %`` or ``0.04``."""
    number = _number(text.strip().lstrip("±").removesuffix("%").strip())
    share = None if number is None else number / 100 if "%" in text else number
    if share is None or not 0 < share < Fraction(1, 2):
        raise FastenerError(f"'{text}' is not an accuracy", "write it as in 'accuracy: 4 %'")
    return share


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip()[:10])
    except ValueError:
        raise FastenerError(f"'{text}' is not a day", "write it as in 'calibrated: 2024-03-01'") from None


def _count(text: str) -> int:
    if not text.strip().isdecimal():
        raise FastenerError(f"'{text}' is not a count of clicks", "write it as in 'cycles: 1200'")
    return int(text)


def _number(text: str) -> Fraction | None:
    try:
        return Fraction(text.strip())
    except (ValueError, ZeroDivisionError):
        return None
