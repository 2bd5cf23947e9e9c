"""What may not be in a picture: boxes that touch, lines through words or boxes, letters too small."""

from itertools import combinations, pairwise

from sequencer.render.pictures.barring.scene import Dot, Rect, Stroke, Text
from sequencer.render.pictures.on_paper import NARROWER, ROOM, SMALLEST

TOUCH = 4.0
"""Points that are free between two boxes."""

HAIR = 0.3


def faults_in(scene):
    """What is wrong with a page, a line each."""
    page = Rect(0, 0, scene.wide, scene.tall)
    texts = [item for item in scene.everything() if isinstance(item, Text)]
    strokes = [item for item in scene.everything() if isinstance(item, Stroke)]
    yield from _boxes(scene)
    yield from _small(scene, texts)
    yield from (f"{one.words!r} runs over the page's edge" for one in texts if not _inside(one.box, page))
    yield from _words_over_words(texts)
    yield from _unseen(texts, [stroke for stroke in strokes if stroke.filled and stroke.closed])
    yield from _lines_through_words(texts, strokes)
    yield from _dots_on_words(texts, [item for item in scene.everything() if isinstance(item, Dot)])
    yield from _lines_through_boxes(scene, strokes)
    yield from _lines_on_each_other(strokes)


def _boxes(scene):
    for one, other in combinations(scene.groups, 2):
        if one.frame.meets(other.frame, -TOUCH):
            yield f"boxes {one.key} and {other.key} touch"
    for group in scene.groups:
        for text in (item for item in group.items if isinstance(item, Text)):
            if not _inside(text.box, group.frame):
                yield f"{text.words!r} runs out of its box {group.key}"


def _small(scene, texts):
    for paper, room in ROOM.items():
        sides = sorted((scene.wide, scene.tall))
        fit = min(most / side for most, side in zip(room, sides, strict=True))
        smallest = min(text.size for text in texts) * fit * NARROWER
        if smallest < SMALLEST:
            yield f"letters of {smallest:.2f} points on {paper}"


def _inside(one, other):
    return (
        one.x >= other.x - HAIR
        and one.right <= other.right + HAIR
        and one.y >= other.y - HAIR
        and one.bottom <= other.bottom + HAIR
    )


def _words_over_words(texts):
    for one, other in _near(texts):
        if one.box.meets(other.box, 0.8):
            yield f"{one.words!r} over {other.words!r}"


def _unseen(texts, black):
    """Black words on black, and white ones on white."""
    boxes = [
        Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
        for xs, ys in (zip(*stroke.points, strict=True) for stroke in black)
    ]
    for text in texts:
        if any(text.box.meets(box, HAIR) for box in boxes) is not text.light:
            yield f"{text.words!r} is not seen"


def _near(texts):
    """Pairs of texts that may share a height."""
    tall = max(text.size for text in texts)
    rows = sorted(texts, key=lambda text: text.y)
    for place, one in enumerate(rows):
        for other in rows[place + 1 :]:
            if other.y - one.y > tall:
                break
            yield one, other


def _segments(stroke):
    points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
    for (x, y), (right, bottom) in pairwise(points):
        yield Rect(min(x, right), min(y, bottom), abs(right - x), abs(bottom - y))


def _lines_through_words(texts, strokes):
    lines = [line for stroke in strokes for line in _segments(stroke)]
    for text in texts:
        if any(text.box.meets(line, HAIR if line.wide and line.tall else -0.01) for line in lines):
            yield f"a line through {text.words!r}"


def _dots_on_words(texts, dots):
    for dot in dots:
        ring = Rect(dot.x - dot.radius, dot.y - dot.radius, 2 * dot.radius, 2 * dot.radius)
        yield from (f"a ring on {text.words!r}" for text in texts if text.box.meets(ring, HAIR))


def _lines_through_boxes(scene, strokes):
    for stroke in (one for one in strokes if one.net):
        for line in _segments(stroke):
            for group in scene.groups:
                if line.meets(group.frame, HAIR) or (
                    not (line.wide and line.tall)
                    and group.frame.meets(line, -HAIR)
                    and _deep(line, group.frame)
                ):
                    yield f"the line from {stroke.net} runs over {group.key}"


def _deep(line, frame):
    """Whether more of a line than its end is in a frame."""
    across = min(line.right, frame.right) - max(line.x, frame.x)
    down = min(line.bottom, frame.bottom) - max(line.y, frame.y)
    return across > HAIR and down >= 0 if line.wide else down > HAIR and across > HAIR


def _lines_on_each_other(strokes):
    lines = [(stroke.net, line) for stroke in strokes if stroke.net for line in _segments(stroke)]
    for upright in (False, True):
        along = sorted(
            (
                (line.x, line.y, line.bottom, net) if upright else (line.y, line.x, line.right, net)
                for net, line in lines
                if (line.tall > line.wide) is upright
            ),
        )
        for place, (at, start, end, net) in enumerate(along):
            for other_at, other_start, other_end, other in along[place + 1 :]:
                if other_at - at > 1.0:
                    break
                if net != other and min(end, other_end) - max(start, other_start) > 1.0:
                    yield f"the lines from {net} and {other} lie on each other"
