"""Faults of a machine file: where, what is wrong, what to do about it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from sequencer.errors import SequencerError
from sequencer.machine.model import Place

MOST_FAULTS = 100
"""So many faults are said in full; what comes after them is only counted."""

_LONGEST_QUOTE = 60

FaultKind = Literal["", "syntax", "structure"]


@dataclass(frozen=True)
class Fault:
    """One fault of a machine file.

    Attributes:
        place: Where it is written.
        problem: What is wrong, in trade words.
        remedy: What to do about it.
        severity: An ``error`` stops the program; a ``warning`` does not.
        kind: ``syntax`` where the text can't be read as YAML, ``structure`` where something stands where it
            does not belong; empty for all others.
    """

    place: Place
    problem: str
    remedy: str
    severity: Literal["error", "warning"] = "error"
    kind: FaultKind = ""

    def __str__(self) -> str:
        mark = "warning: " if self.severity == "warning" else ""
        advice = f"; {self.remedy}" if self.remedy else ""
        return f"{self.place}:{self.place.column}: {mark}{self.told}{advice}"

    @property
    def told(self) -> str:
        """What is wrong, and within which values of ``repeat`` or which assembly, where it is."""
        return f"{self.problem} ({self.place.within})" if self.place.within else self.problem


class MachineFileError(SequencerError):
    """A machine file that can't be used. Its text is all its faults, a line each.

    Attributes:
        faults: What is wrong with it, warnings included, in the order of the file.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


class Faults:
    """Collects faults while a file is read."""

    def __init__(self) -> None:
        self._found: dict[Fault, None] = {}

    def error(self, place: Place, problem: str, remedy: str, kind: FaultKind = "") -> None:
        """Note a fault that makes the file unusable."""
        self.add(Fault(place, problem, remedy, "error", kind))

    def warning(self, place: Place, problem: str, remedy: str) -> None:
        """Note something that is probably not meant, but can be worked with."""
        self.add(Fault(place, problem, remedy, "warning"))

    def add(self, fault: Fault) -> None:
        """Note a fault that was found elsewhere."""
        self._found[fault] = None

    @property
    def full(self) -> bool:
        """So many have been found that looking for the nearest names is no longer worth the time."""
        return len(self._found) >= MOST_FAULTS

    @property
    def fatal(self) -> bool:
        """There is an error among them."""
        return any(fault.severity == "error" for fault in self._found)

    def sorted(self) -> tuple[Fault, ...]:
        """All of them in the order of the file, the surplus counted in a last one; file by file."""
        files = {
            file: number for number, file in enumerate(dict.fromkeys(one.place.file for one in self._found))
        }
        found = sorted(
            self._found,
            key=lambda one: (files[one.place.file], one.place.line, one.place.column, one.problem),
        )
        if len(found) <= MOST_FAULTS:
            return tuple(found)
        # Errors first: a hundred warnings must not hide the one that stops the reading.
        errors = [fault for fault in found if fault.severity == "error"][:MOST_FAULTS]
        room = MOST_FAULTS - len(errors)
        kept = {*errors, *[fault for fault in found if fault.severity == "warning"][:room]}
        left = [fault for fault in found if fault not in kept]
        first = next((fault for fault in left if fault.severity == "error"), left[0])
        more = Fault(
            replace(first.place, within=""),
            f"and {len(left)} more faults",
            "mend the ones above first",
            first.severity,
        )
        return (*[fault for fault in found if fault in kept], more)


def quote(text: object) -> str:
    """Something from the file as a message may show it: on one line and not too long."""
    line = " ".join(str(text).split())
    return line if len(line) <= _LONGEST_QUOTE else f"{line[: _LONGEST_QUOTE - 1]}…"


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that ``name`` is probably a slip for."""
    by_fold = {one.casefold(): one for one in known}
    if len(name) > 2 * _LONGEST_QUOTE:
        return None
    near = difflib.get_close_matches(name.casefold(), by_fold, n=1, cutoff=0.6)
    return by_fold[near[0]] if near else None


def suggestion(name: str, known: Iterable[str], otherwise: str) -> str:
    """What to do about an unknown name: the nearest one, or the few that there are, or ``otherwise``."""
    names = list(dict.fromkeys(known))
    near = nearest(name, names)
    if near is not None:
        return f"did you mean `{quote(near)}`?"
    if names and len(names) <= 12:
        return f"known here: {', '.join(quote(one) for one in names)}"
    return otherwise
