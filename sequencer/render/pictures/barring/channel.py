"""The room between two columns of boxes: every line runs down a track of its own there, and meets no word.

A net comes in on one side and leaves on either. Its track is one upright line; from there it goes straight to
its ends. The order of the tracks is that with the fewest crossings; where an end of one net lies level with
an end of another on the other side, the track of the one comes first, so that no two lines lie on each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from sequencer.render.pictures.barring.scene import Dot, Item, Point, Stroke

TRACK = 4.5
"""Points from track to track."""

HEAD_ROOM, TAIL_ROOM = 12.0, 6.0
"""Points that are kept free beside boxes where lines end, and where they begin."""

HEADS = {"normal": 5.5, "tee": 2.0, "none": 0.0, "box": 5.0, "obox": 5.0}
"""The heads that are drawn, and the points that they take; Graphviz knows each by this name."""

LEVEL = 1.1
"""Ends less than this apart in height would lie on each other."""

_ON_EACH_OTHER = 1000
"""Crossings that are worth less than two lines on each other."""


@dataclass(frozen=True)
class End:
    """Where a net touches a side of the channel.

    Attributes:
        y: How far down.
        arrow: The head there; empty where the net begins or goes on.
        dashed: Whether it is a way that was not taken.
    """

    y: float
    arrow: str = ""
    dashed: bool = False


@dataclass
class Net:
    """What belongs together within a channel."""

    key: str
    left: list[End] = field(default_factory=list)
    right: list[End] = field(default_factory=list)
    track: int = 0

    @property
    def span(self) -> tuple[float, float]:
        """How far up and down its track goes."""
        ys = [end.y for end in (*self.left, *self.right)]
        return min(ys), max(ys)

    @property
    def is_straight(self) -> bool:
        """Whether it needs no track."""
        low, high = self.span
        return high - low < 0.01

    def over(self, other: Net) -> int:
        """What it costs that this net's track is left of the other's."""
        low, high = self.span
        its_low, its_high = other.span
        cost = sum(low < end.y < high for end in other.left)
        cost += sum(its_low < end.y < its_high for end in self.right)
        return cost + _ON_EACH_OTHER * self.meets(other)

    def meets(self, other: Net) -> bool:
        """Whether a line of one lies on one of the other, where this net's track is left of the other's."""
        return any(abs(a.y - b.y) < LEVEL for a in other.left for b in self.right)


@dataclass
class Channel:
    """All nets between two columns."""

    nets: list[Net]

    def arrange(self) -> None:
        """Give each net its track."""
        order = sorted(self.nets, key=lambda net: (sum(net.span), net.key))
        better = True
        while better:
            better = False
            for place in range(len(order) - 1):
                one, other = order[place], order[place + 1]
                if other.over(one) < one.over(other):
                    order[place : place + 2] = [other, one]
                    better = True
        for place, net in enumerate(order):
            low, high = net.span
            below = [
                other.track
                for other in order[:place]
                if other.span[0] - TRACK < high and low < other.span[1] + TRACK
            ]
            net.track = max(below, default=-1) + 1

    def clashing(self) -> list[str]:
        """The nets of which a line lies on one of another net, by their keys; one of each two."""
        return [
            one.key
            for one in self.nets
            for other in self.nets
            if one.track < other.track and one.meets(other)
        ]

    @property
    def wide(self) -> float:
        """Points that it takes."""
        tracks = max((net.track + 1 for net in self.nets), default=0)
        heads = any(end.arrow for net in self.nets for end in net.right)
        return HEAD_ROOM + (HEAD_ROOM if heads else TAIL_ROOM) + TRACK * max(tracks - 1, 0) + 2

    def drawn(self, left: float) -> Iterator[Item]:
        """Its lines, where its left side is at ``left``."""
        for net in self.nets:
            yield from _net(net, left, left + self.wide, left + HEAD_ROOM + TRACK * net.track)


def _net(net: Net, left: float, right: float, x: float) -> Iterator[Item]:
    low, high = net.span
    if not net.is_straight:
        # A way that was not taken is dashed as far as it has its line for itself.
        yield Stroke(((x, low), (x, high)), dash=_dash(_all_dashed(net)), net=net.key)
    for ends, side in ((net.left, left), (net.right, right)):
        for end in ends:
            yield from _end(net, end, x, side)
    if not net.is_straight:
        yield from (Dot(x, y, 1.7, net=net.key) for y in _branches(net))


def _all_dashed(net: Net) -> bool:
    heads = [end for end in (*net.left, *net.right) if end.arrow]
    return bool(heads) and all(end.dashed for end in heads)


def _end(net: Net, end: End, x: float, side: float) -> Iterator[Item]:
    outwards = 1.0 if side > x else -1.0
    tip: Point = (side - outwards * 1.2, end.y)
    base = tip[0] - outwards * HEADS.get(end.arrow, 5.0)
    dashed = end.dashed or (not end.arrow and _all_dashed(net))
    yield Stroke(((x, end.y), (base if end.arrow else side, end.y)), dash=_dash(dashed), net=net.key)
    if end.arrow:
        yield from head(tip, outwards, end.arrow, hollow=end.dashed, net=net.key)


def head(tip: Point, outwards: float, arrow: str, *, hollow: bool = False, net: str = "") -> Iterator[Stroke]:
    """The head of an arrow; ``outwards`` is 1 where it points to the right, else -1."""
    x, y = tip
    back = x - outwards * 5.5
    if arrow == "tee":
        yield Stroke(
            ((x - outwards * 1.4, y - 4), (x - outwards * 1.4, y + 4)), 1.2 if hollow else 2.4, net=net
        )
    elif arrow in ("box", "obox"):
        square = (
            (x, y - 2.5),
            (x, y + 2.5),
            (back + outwards * 0.5, y + 2.5),
            (back + outwards * 0.5, y - 2.5),
        )
        yield Stroke(square, 0.8, closed=True, filled=arrow == "box" and not hollow, net=net)
    elif arrow != "none":
        yield Stroke(((x, y), (back, y - 2.8), (back, y + 2.8)), 0.8, closed=True, filled=not hollow, net=net)


def _dash(dashed: bool) -> str:
    return "3 2.2" if dashed else ""


def _branches(net: Net) -> Sequence[float]:
    """Where more than two pieces of a net meet on its track."""
    low, high = net.span
    ys = [round(end.y, 2) for end in (*net.left, *net.right)]
    return sorted({y for y in ys if low + 0.01 < y < high - 0.01 or ys.count(y) > 1})
