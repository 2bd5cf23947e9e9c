"""What a beginner gets wrong in writing YAML, told at its line: no colon, no blank behind it, odd indents.

The parser stumbles over such a line later, or reads it as something else. So of a file with faults the lines
near the first one are looked at: one whose mending leaves fewer faults is what was wrong.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from sequencer.machine.faults import Fault, quote
from sequencer.machine.model import Place

MOST_LINES = 6
"""So many lines before a fault are looked at."""

MOST_BACK = 60
"""And so many for one that stands oddly: what belongs to it may go on for long."""

MOST_READ = 100_000
"""Characters that are read again for a fault at the most: each mending that is tried is read whole."""

MOST_TRIED = 20
"""So many mendings are tried for a fault, however short the file is."""

MOST_FAULTS = 3
"""So many faults of this sort are told of one file at once."""

_KEY = r"[A-Za-z_][\w<>.-]*"
_NO_BLANK = re.compile(rf"^(\s*(?:- )?)({_KEY}):(?=[^\s:/])(.*)$")
_NO_DASH_BLANK = re.compile(r"^(\s*)-(?=[^\s-])(.+)$")
_NO_COLON = re.compile(rf"^(\s*)({_KEY})(\s+(?![:#]).+|\s*)$")
_KEYED = re.compile(rf"^\s*(?:- )?(?:{_KEY}|\"[^\"]*\"|'[^']*'):(?:\s|$)")


@dataclass(frozen=True)
class _Mending:
    """A line as it should be, and what is wrong with it as it is."""

    line: int
    column: int
    text: str
    problem: str
    remedy: str
    sign: bool = True


Reread = Callable[[str], Sequence[Fault]]
"""Reads a text, and returns its faults."""


def told_plainly(text: str, faults: Sequence[Fault], reread: Reread) -> tuple[Fault, ...]:
    """The faults of a text, those that a line of this sort has made told as what it is.

    Args:
        text: The file's text.
        faults: What is wrong with it.
        reread: Reads a text that has been mended.
    """
    found: list[Fault] = []
    now = tuple(faults)
    while len(found) < MOST_FAULTS and (errors := _errors(now)) and errors[0].kind:
        mended = _mended(text, errors, reread)
        if mended is None:
            break
        one, text, now = mended
        found.append(Fault(Place(errors[0].place.file, one.line, one.column), one.problem, one.remedy))
    return tuple(sorted((*found, *now), key=lambda fault: (fault.place.line, fault.place.column)))


def _errors(faults: Sequence[Fault]) -> list[Fault]:
    return [fault for fault in faults if fault.severity == "error"]


def _mended(
    text: str, errors: Sequence[Fault], reread: Reread
) -> tuple[_Mending, str, tuple[Fault, ...]] | None:
    """The mending near the first error that leaves the fewest, the text with it, and what is left."""
    lines = text.split("\n")
    best: tuple[int, _Mending, str, tuple[Fault, ...]] | None = None
    most = min(MOST_TRIED, MOST_READ // max(len(text), 1))
    for one in islice(_mendings(lines, errors[0]), most):
        new = "\n".join((*lines[: one.line - 1], one.text, *lines[one.line :]))
        left = tuple(reread(new))
        count = len(_errors(left))
        if _further(errors, left, sign=one.sign) and (best is None or count < best[0]):
            best = (count, one, new, left)
        if count == 0:
            break
    return best and best[1:]


def _further(before: Sequence[Fault], after: Sequence[Fault], *, sign: bool) -> bool:
    """Whether a text is better: no fault at all, or the first comes later and there are no more of them.

    Where it was none that can be read, and is one by a ``sign`` alone, what else is wrong counts for nothing.
    """
    left = _errors(after)
    could_be_read, can_be_read = (not one or one[0].kind != "syntax" for one in (before, left))
    if could_be_read and not can_be_read:
        return False  # what can be read is not mended into what can't
    if not left or (sign and can_be_read and not could_be_read):
        return True
    fatal = len(before) == 1  # the parser stops at its first
    return left[0].place.line > before[0].place.line + 1 and (fatal or len(left) < len(before))


def _mendings(lines: Sequence[str], fault: Fault) -> Iterator[_Mending]:
    """What may be wrong with the lines up to a fault, the nearest first, signs before indentation."""
    last = min(fault.place.line, len(lines))
    near = [n for n in range(last, max(last - MOST_LINES, 0), -1) if _says(lines[n - 1])]
    for number in near:
        yield from _signs(lines, number)
    if last == 1:  # nothing is said of the whole file's own keys: one of them stands under another
        near = [n for n, line in enumerate(lines, start=1) if re.match(r"\s+parts:\s*$", line)] + near
    step = _step(lines)
    far = range(last - MOST_LINES, max(last - MOST_BACK, 0), -1)
    near += [n for n in far if _says(lines[n - 1]) and _odd(lines, n, step)]
    for number in sorted(dict.fromkeys(near), key=lambda number: not _odd(lines, number, step)):
        yield from _shifted(lines, number)


def _odd(lines: Sequence[str], number: int, step: int) -> bool:
    """It stands more than one level below the line before, or the line after below it; or between levels."""
    own, before, after = _indent(lines[number - 1]), _before(lines, number), _after(lines, number)
    return own % step > 0 or own - _indent(before) > step or _indent(after) - own > step


def _before(lines: Sequence[str], number: int) -> str:
    """The line before that says something."""
    return next((one for one in reversed(lines[: number - 1]) if _says(one)), "")


def _after(lines: Sequence[str], number: int) -> str:
    return next((one for one in lines[number:] if _says(one)), "")


def _says(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _signs(lines: Sequence[str], number: int) -> Iterator[_Mending]:
    line = lines[number - 1]
    if match := _NO_BLANK.match(line):
        lead, key, rest = match.groups()
        column = len(lead) + len(key) + 2
        yield _Mending(
            number, column, f"{lead}{key}: {rest}", f"no blank stands behind the colon of `{quote(key)}`",
            f"write {key}: {quote(rest)}",
        )  # fmt: skip
    elif match := _NO_DASH_BLANK.match(line):
        lead, rest = match.groups()
        yield _Mending(
            number, len(lead) + 2, f"{lead}- {rest}", "no blank stands behind the dash",
            f"write - {quote(rest)}",
        )  # fmt: skip
    elif (match := _NO_COLON.match(line)) and not _KEYED.match(line):
        lead, key, rest = match.groups()
        value = rest.strip()
        yield _Mending(
            number, len(lead) + len(key) + 1, f"{lead}{key}:{f' {value}' if value else ''}",
            f"`{quote(key)}` has no colon behind it", f"write {key}:{f' {quote(value)}' if value else ''}",
        )  # fmt: skip


def _shifted(lines: Sequence[str], number: int) -> Iterator[_Mending]:
    """A line moved to where a neighbour stands; each way that there is."""
    line = lines[number - 1]
    own = _indent(line)
    before, after = _before(lines, number), _after(lines, number)
    base, step = _indent(before), _step(lines)
    if own % step == 0 and own <= base + step and _indent(after) in (own, own + step):
        likely = [own + step, own - step]
    else:
        likely = []
    inner = [_indent(after) - step] if _indent(after) - own > step else []
    places = [*inner, *likely, base + step, base, _indent(after), *range(base - step, -1, -step)]
    for place in dict.fromkeys(places):
        if (
            place < 0
            or place == own
            or place % step
            or (not _KEYED.match(line) and not line.lstrip().startswith("- "))
        ):
            continue
        far = "too far to the right" if place < own else "too far to the left"
        blanks = abs(place - own)
        much = f"{blanks} blank{'s' if blanks > 1 else ''}"
        yield _Mending(
            number, own + 1, " " * place + line.lstrip(),
            f"this line is indented by {own}, which is {much} {far}", f"indent it by {place}", sign=False,
        )  # fmt: skip


def _step(lines: Sequence[str]) -> int:
    """How far the file indents: by what most of its lines can be divided."""
    own = [indent for line in lines if _says(line) and (indent := _indent(line))]
    return (
        max((4, 3, 2, 1), key=lambda n: (sum(one % n == 0 for one in own) > 0.8 * len(own), n)) if own else 2
    )


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))
