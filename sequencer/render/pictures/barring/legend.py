"""The legend, drawn: a small sample of each frame and line that a page has, and few words beside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from sequencer.document.barring.things import Barring, Stage, Standing
from sequencer.document.clean import clean
from sequencer.machine.trade.relations import relations
from sequencer.render.pictures.barring.cells import ThingBox
from sequencer.render.pictures.barring.channel import HEADS, head
from sequencer.render.pictures.barring.frames import frame, label, label_wide
from sequencer.render.pictures.barring.letters import cut, width_of, wrapped
from sequencer.render.pictures.barring.scene import (
    Dot,
    Item,
    Rect,
    Stroke,
    Text,
    frame_points,
    shifted,
)

SIZE, PITCH = 8.5, 13.0
_BETWEEN = 14.0

_LOOKS = {
    Standing.AIM: "what the job is for",
    Standing.OFF: "comes off",
    Standing.MOVED: "only moved",
    Standing.OPENED: "stays, a joint is opened",
    Standing.WORK: "work to be done",
    Standing.FLUID: "fluid to drain",
}


@dataclass(frozen=True)
class Sample:
    """A sample of so many points, drawn from its left end in the middle of its line; and what it means."""

    wide: float
    sample: Callable[[float, float], Iterable[Item]]
    words: str


def entries(
    picture: Barring, cells: Sequence[ThingBox], ends: Collection[tuple[str, bool]] | None = None
) -> Iterator[Sample]:
    """What a page with these boxes needs.

    ``ends`` are the heads of the arrows on it, each with whether the job goes that way; None: of all reasons.
    """
    looks = {cell.thing.look for cell in cells}
    for look, words in _LOOKS.items():
        if look in looks:
            yield _frame(look, words if picture.numbered or look is not Standing.OFF else "part")
    yield from _stages(picture, cells)
    lines = [line for cell in cells for line in cell.lines]
    if ends is None:
        ends = {(line.ask.arrow, line.way.taken) for line in lines if line.ask and line.way}
    arrows = {arrow for arrow, _ in ends}
    if "normal" in arrows:
        back = picture.turned
        yield _arrow("normal", "goes back later" if back else "moves first, or is done first")
    for relation in relations():
        if relation.legend and relation.arrow.get("arrowhead") in arrows:
            yield _arrow(relation.arrow["arrowhead"], relation.legend)
    if "none" in arrows:
        yield _arrow("none", "done with it")
    if any(line.way and not line.way.taken for line in lines):
        words = "would do as well, not taken" if picture.numbered else "one of several will do"
        yield _arrow("normal", words, hollow=True) if any(not taken for _, taken in ends) else _ring(words)
    yield from _numbers(picture, cells)
    used = {line.mark for line in lines}
    for name, mark in marks_of(picture).items():
        if mark in used:
            yield _mark(mark, clean(picture.places[name]))


def marks_of(picture: Barring) -> dict[str, str]:
    """A letter for each position."""
    return {name: _letter(place) for place, name in enumerate(picture.places)}


def _letter(place: int) -> str:
    return chr(65 + place) if place < 26 else f"{_letter(place // 26 - 1)}{chr(65 + place % 26)}"


def laid(found: Iterable[Sample], note: str, wide: float) -> tuple[list[Item], float]:
    """The legend's items from its upper left corner, in as many lines as it takes; and its height."""
    items: list[Item] = []
    x, y = 0.0, PITCH / 2
    for entry in found:
        room = wide - entry.wide - 4
        words = cut(entry.words, room, SIZE)
        needed = entry.wide + 4 + width_of(words, SIZE)
        if x and x + needed > wide:
            x, y = 0.0, y + PITCH
        items += entry.sample(x, y)
        items.append(Text(x + entry.wide + 4, y + 0.34 * SIZE, words, SIZE))
        x += needed + _BETWEEN
    y += PITCH / 2
    for line in wrapped(clean(note), wide, SIZE) if note else ():
        items.append(Text(0.0, y + 0.84 * SIZE, line, SIZE, slanted=True))
        y += PITCH - 2
    return items, y


def _stages(picture: Barring, cells: Sequence[ThingBox]) -> Iterator[Sample]:
    stages = {cell.thing.stage for cell in cells}
    if any(line.gone for cell in cells for line in cell.lines):
        box = frame_points(Rect(0, -5, 16, 10))
        words = "not back yet: off, undone, drained" if picture.turned else "off, undone, drained or done"
        yield Sample(16.0, lambda x, y: [Stroke(shifted(box, x, y), 0.4, closed=True, filled=True)], words)
    for stage, words in ((Stage.NEXT, "the next station"), (Stage.IN_HAND, "begun, not finished")):
        if stage in stages:
            yield labelled(stage, words)


def labelled(stage: Stage, words: str) -> Sample:
    """A sample of how far a job is with a thing or a station."""
    return Sample(label_wide(stage, SIZE) - 4, lambda x, y: label(stage, x, y, SIZE), words)


def _frame(look: Standing, words: str) -> Sample:
    return Sample(22.0, lambda x, y: frame(look, Rect(x + 1, y - 5, 20, 10)), words)


def _arrow(arrow: str, words: str, *, hollow: bool = False) -> Sample:
    def sample(x: float, y: float) -> Iterator[Item]:
        base = x + HEADS.get(arrow, 5.0)
        yield Stroke(((base, y), (x + 24, y)), dash="3 2.2" if hollow else "")
        if hollow:
            yield Dot(x + 30, y, 2.2, filled=False)
        yield from head((x, y), -1.0, arrow, hollow=hollow)

    return Sample(33.0 if hollow else 24.0, sample, words)


def _ring(words: str) -> Sample:
    return Sample(6.0, lambda x, y: [Dot(x + 3, y, 2.2, filled=False)], words)


def _numbers(picture: Barring, cells: Sequence[ThingBox]) -> Iterator[Sample]:
    if not picture.numbered:
        return
    shown = " ".join(line.number for cell in cells for line in cell.lines)
    if shown.strip():
        yield _sample("12", "step of the way back" if picture.turned else "step of the plan")
    for letter, words in (("c", "cracks it"), ("s", "slackens it")):
        if letter in shown:
            yield _sample(f"{letter}12", words)


def _sample(number: str, words: str) -> Sample:
    wide = width_of(number, SIZE) + 4

    def sample(x: float, y: float) -> Iterator[Item]:
        yield Text(x, y + 0.34 * SIZE, number, SIZE)
        yield Stroke(((x + wide - 1, y - 5), (x + wide - 1, y + 5)), 0.4)

    return Sample(wide, sample, words)


def _mark(mark: str, words: str) -> Sample:
    wide = width_of(mark, SIZE, bold=True)
    return Sample(wide, lambda x, y: [Text(x, y + 0.34 * SIZE, mark, SIZE, bold=True)], words)
