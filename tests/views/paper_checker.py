"""What may not be on a page: letters over letters or under a line, boxes across boxes, letters too small."""

from collections import defaultdict
from unicodedata import category

SLACK = 0.35
"""Points by which two things may touch: rounding, and the slant of italic letters."""

CELL = 24.0

JOINED = 3
"""Letters that one sign of a font may stand for."""


def faults_on(page, smallest):
    """What is wrong on a page, a line each; letters of less than ``smallest`` points are too small."""
    letters = [char for char in page.tight if char.text.strip() and category(char.text) not in ("Cf", "Mn")]
    yield from (
        f"{char.text!r} of {char.size:.1f} pt at {char.x0:.0f},{char.top:.0f}"
        for char in letters
        if char.size < smallest - 0.01
    )
    yield from _over_each_other(letters)
    yield from _under_lines(letters, page.lines)
    yield from _across(page.boxes)


def _cells(one, more=0.0):
    for x in range(int((one.x0 - more) // CELL), int((one.x1 + more) // CELL) + 1):
        for y in range(int((one.top - more) // CELL), int((one.bottom + more) // CELL) + 1):
            yield x, y


def _meet(one, other, slack):
    return (
        one.x0 < other.x1 - slack
        and other.x0 < one.x1 - slack
        and one.top < other.bottom - slack
        and other.top < one.bottom - slack
    )


def _over_each_other(letters):
    """Letters that share more than their edges; not neighbours, which ligatures and kerning join."""
    seen = defaultdict(list)
    for place, one in enumerate(letters):
        near = {at: other for cell in _cells(one) for at, other in seen[cell] if at < place - JOINED}
        for other in near.values():
            wide = min(one.x1, other.x1) - max(one.x0, other.x0)
            tall = min(one.bottom, other.bottom) - max(one.top, other.top)
            if wide > 0.45 * min(one.width, other.width) and tall > 0.45 * min(one.height, other.height):
                yield f"{one.text!r} over {other.text!r} at {one.x0:.0f},{one.top:.0f}"
        for cell in _cells(one):
            seen[cell].append((place, one))


def _under_lines(letters, lines):
    seen = defaultdict(list)
    for line in lines:
        for cell in _cells(line, 2):
            seen[cell].append(line)
    for one in letters:
        for line in {id(line): line for cell in _cells(one) for line in seen[cell]}.values():
            half = line.size / 2
            if (
                one.x0 + SLACK < line.x1 + half * (line.width < line.height)
                and line.x0 - half * (line.width < line.height) < one.x1 - SLACK
                and one.top + SLACK < line.bottom + half * (line.width >= line.height)
                and line.top - half * (line.width >= line.height) < one.bottom - SLACK
            ):
                yield f"a line through {one.text!r} at {one.x0:.0f},{one.top:.0f}"


def _across(boxes):
    """Boxes that are neither apart nor one inside the other."""
    for place, one in enumerate(boxes):
        for other in boxes[:place]:
            inside = any(
                a.x0 >= b.x0 - 1 and a.x1 <= b.x1 + 1 and a.top >= b.top - 1 and a.bottom <= b.bottom + 1
                for a, b in ((one, other), (other, one))
            )
            if not inside and _meet(one, other, 1.0):
                where = f"{one.x0:.0f},{one.top:.0f} and {other.x0:.0f},{other.top:.0f}"
                yield f"boxes across each other at {where}"
