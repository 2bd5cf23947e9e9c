"""Columns of boxes side by side: in which order and at which height they stand, and by which way lines run.

A line that passes a column gets a lane between two boxes of it. So lines are only ever in lanes and in the
channels between columns, and never on a box.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from sequencer.render.pictures.barring.cells import ThingBox
from sequencer.render.pictures.barring.channel import HEAD_ROOM, TAIL_ROOM, Channel, End, Net

APART = 8.0
"""Points between two boxes."""

LANE = 5.0
"""Points of a lane between two others, or between a box and another."""

STEP = 1.0
"""Heights are whole multiples of this, so that what is level is so exactly."""

NARROWEST = HEAD_ROOM + TAIL_ROOM
"""Points of a channel with one line in it, at the least."""

SHIFTS = (2.4, -2.4, 1.2, -1.2, 3.2, -3.2)
"""Points by which a line is moved that would lie on another."""

NUDGE = 2.0
"""Points by which a line may begin above or below the middle of its words."""

SPARE = 1.1
"""By how much columns may be taller than the fullest of them, so that more lines run straight."""

SWEEPS = 10


@dataclass(eq=False)
class Lane:
    """Where a wire passes a column."""

    wire: Wire
    y: float = 0.0
    tall: float = 1.0


Slot = ThingBox | Lane


@dataclass(frozen=True, eq=False)
class Sink:
    """The line of a box that waits."""

    cell: ThingBox
    column: int
    place: int


@dataclass(eq=False)
class Wire:
    """All that leads from one thing, or from one joint of it, to one side."""

    source: ThingBox
    column: int
    joint: str | None
    outward: bool
    sinks: list[Sink] = field(default_factory=list)
    lanes: dict[int, Lane] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """Its own name."""
        return f"{self.source.thing.key}/{self.joint or ''}{'>' if self.outward else ''}"

    @property
    def is_dashed(self) -> bool:
        """Whether the job goes none of the ways that it leads to."""
        ways = [sink.cell.lines[sink.place].way for sink in self.sinks]
        return not any(way.taken for way in ways if way)

    @property
    def farthest(self) -> int:
        """The column of the sink that is farthest away."""
        columns = [sink.column for sink in self.sinks]
        return max(columns) if self.outward else min(columns)


@dataclass(frozen=True)
class Joined:
    """Two slots of neighbouring columns that a line joins, and how far down on each."""

    left: Slot
    left_off: float
    right: Slot
    right_off: float


class Laid:
    """A page's columns with their lines."""

    def __init__(self, columns: Sequence[Sequence[ThingBox]]) -> None:
        self.columns: list[list[Slot]] = [list(cells) for cells in columns]
        self.wires = list(_wires(columns))
        for wire in self.wires:
            low, high = sorted((wire.column, wire.farthest))
            for column in range(low + 1, high):
                lane = wire.lanes[column] = Lane(wire)
                self.columns[column].append(lane)
        self.tall = SPARE * max(sum(map(_tall, column)) for column in self.columns)
        self._place()
        self.shifted: dict[tuple[int, int], float] = {}
        self.channels = [self._channel(number) for number in range(len(columns) - 1)]
        self._untangle()

    @property
    def wide(self) -> float:
        """Points over all columns and channels."""
        return sum(map(self.column_wide, range(len(self.columns)))) + sum(c.wide for c in self.channels)

    def column_wide(self, number: int) -> float:
        """Points of a column."""
        return max((one.wide for one in self.columns[number] if isinstance(one, ThingBox)), default=0.0)

    def widen(self, spare: float, told: Mapping[str, float]) -> None:
        """Make columns wider whose words would be cut, by at most ``spare`` points in all.

        ``told`` are the points that a thing's boxes need for all of their words.
        """
        left = spare
        for number, column in enumerate(self.columns):
            boxes = [one for one in column if isinstance(one, ThingBox)]
            now = self.column_wide(number)
            wished = max((told.get(box.thing.key, 0.0) for box in boxes), default=now)
            more = min(max(wished - now, 0.0), left / (len(self.columns) - number))
            left -= more
            for box in boxes:
                box.wide = now + more

    # ---- Heights ----

    def _place(self) -> None:
        links = [list(self._links(number)) for number in range(len(self.columns) - 1)]
        for column in self.columns:
            self._set(column, [(0.0, 1.0)] * len(column))
        for sweep in range(SWEEPS):
            numbers = range(len(self.columns))
            for number in numbers if sweep % 2 == 0 else reversed(numbers):
                sides = [links[number - 1]] if number > 0 and (sweep % 2 == 0 or sweep > SWEEPS - 4) else []
                if number < len(links) and (sweep % 2 or sweep > SWEEPS - 4 or not sides):
                    sides.append(links[number])
                self._settle(self.columns[number], [link for side in sides for link in side])

    def _settle(self, column: list[Slot], links: Sequence[Joined]) -> None:
        """Bring each slot as close to level with what it is joined to as the others allow."""
        pulls: dict[int, list[float]] = {}
        for link in links:
            pulls.setdefault(id(link.left), []).append(link.right.y + link.right_off - link.left_off)
            pulls.setdefault(id(link.right), []).append(link.left.y + link.left_off - link.right_off)
        wished = {id(one): _mean(pulls.get(id(one), [one.y])) for one in column}
        column.sort(key=lambda one: wished[id(one)] + one.tall / 2)
        self._set(column, [(wished[id(one)], 1.0 if id(one) in pulls else 0.1) for one in column])

    def _set(self, column: list[Slot], wished: Sequence[tuple[float, float]]) -> None:
        """Place slots in their order, as close to their wishes as can be (least squares, by pooling)."""
        offsets: list[float] = []
        full = 0.0
        for one in column:
            offsets.append(full + _before(one))
            full += _tall(one)
        pools: list[list[float]] = []  # value, weight, count
        for (wish, weight), off in zip(wished, offsets, strict=True):
            pools.append([wish - off, weight, 1])
            while len(pools) > 1 and pools[-2][0] >= pools[-1][0]:
                value, heavy, count = pools.pop()
                last = pools[-1]
                last[0] = (last[0] * last[1] + value * heavy) / (last[1] + heavy)
                last[1] += heavy
                last[2] += count
        values = [value for value, _, count in pools for _ in range(int(count))]
        room = self.tall - full
        for one, value, off in zip(column, values, offsets, strict=True):
            one.y = off + round(min(max(value, 0.0), room) / STEP) * STEP

    def _links(self, number: int) -> Iterator[Joined]:
        """What is joined between a column and the next."""
        for wire in self.wires:
            came, goes = self._ends(wire, number)
            for one in came:
                for other in goes:
                    left, right = (one, other) if wire.outward else (other, one)
                    yield Joined(left[0], left[1], right[0], right[1])

    def _ends(self, wire: Wire, number: int) -> tuple[list[tuple[Slot, float]], list[tuple[Slot, float]]]:
        """Where a wire comes into the channel right of a column, and where it leaves it."""
        before, after = (number, number + 1) if wire.outward else (number + 1, number)
        reaches = (
            wire.column <= number < wire.farthest if wire.outward else wire.farthest <= number < wire.column
        )
        if not reaches:
            return [], []
        came: tuple[Slot, float] = (
            (wire.source, wire.source.out_of(wire.joint))
            if before == wire.column
            else (wire.lanes[before], wire.lanes[before].tall / 2)
        )
        goes: list[tuple[Slot, float]] = [
            (sink.cell, sink.cell.into(sink.place)) for sink in wire.sinks if sink.column == after
        ]
        if after in wire.lanes:
            goes.append((wire.lanes[after], wire.lanes[after].tall / 2))
        return [came], goes

    # ---- Lines ----

    def _channel(self, number: int) -> Channel:
        nets = []
        for wire in self.wires:
            came, goes = self._ends(wire, number)
            if not came:
                continue
            net = Net(wire.key)
            leads = [self._led_to(wire, slot, off) for slot, off in goes]
            shift = self.shifted.get((id(wire), number), 0.0)
            begins = [End(self._begin(slot, slot.y + off, leads) + shift) for slot, off in came]
            net.left, net.right = (begins, leads) if wire.outward else (leads, begins)
            nets.append(net)
        channel = Channel(nets)
        channel.arrange()
        return channel

    def _untangle(self) -> None:
        """Shift where lines begin, or the lanes by which they pass, until no two lie on each other."""
        wires = {wire.key: wire for wire in self.wires}
        tangled = [(number, key) for number, one in enumerate(self.channels) for key in one.clashing()]
        for number, key in tangled:
            before = self._clashes()
            for shift in SHIFTS:
                if before and not self._shift(wires[key], number, shift, before):
                    continue
                break

    def _shift(self, wire: Wire, number: int, shift: float, before: int) -> bool:
        """Try one shift; whether it was worth it, else all is as it was."""
        kept = list(self.channels)
        lane = wire.lanes.get(number if wire.outward else number + 1)
        if lane is not None:
            lane.y += shift
            around = [number - 1, number] if wire.outward else [number, number + 1]
        else:
            self.shifted[id(wire), number] = shift
            around = [number]
        for one in around:
            self.channels[one] = self._channel(one)
        if self._clashes() < before:
            return True
        self.channels = kept
        if lane is not None:
            lane.y -= shift
        else:
            del self.shifted[id(wire), number]
        return False

    def _clashes(self) -> int:
        return sum(len(channel.clashing()) for channel in self.channels)

    @staticmethod
    def _begin(slot: Slot, y: float, leads: Sequence[End]) -> float:
        """Where a line begins: level with where it ends, if that is as good as level on its box."""
        level = isinstance(slot, ThingBox) and len(leads) == 1 and abs(leads[0].y - y) <= NUDGE
        return leads[0].y if level else y

    @staticmethod
    def _led_to(wire: Wire, slot: Slot, off: float) -> End:
        if isinstance(slot, Lane):
            return End(slot.y + off)
        place = next(s.place for s in wire.sinks if s.cell is slot and s.cell.into(s.place) == off)
        line = slot.lines[place]
        assert line.ask is not None
        assert line.way is not None
        return End(slot.y + off, line.ask.arrow, not line.way.taken)


def _wires(columns: Sequence[Sequence[ThingBox]]) -> Iterator[Wire]:
    """One for each thing or joint from which lines lead, and each of the two sides."""
    where = {
        cell.thing.key: (cell, number)
        for number, cells in enumerate(columns)
        for cell in cells
        if not cell.goes_on
    }
    found: dict[tuple[str, str | None, bool], Wire] = {}
    for number, cells in enumerate(columns):
        for cell in cells:
            for place, line in enumerate(cell.lines):
                if line.way is None or line.way.thing not in where or line.way.thing == cell.thing.key:
                    continue
                source, column = where[line.way.thing]
                if column == number:
                    continue
                outward = column < number
                joint = line.way.joint
                wire = found.setdefault(
                    (line.way.thing, joint, outward), Wire(source, column, joint, outward)
                )
                wire.sinks.append(Sink(cell, number, place))
    yield from found.values()


def _before(one: Slot) -> float:
    return (APART if isinstance(one, ThingBox) else LANE) / 2


def _tall(one: Slot) -> float:
    """A slot with half of what is kept free above and below it."""
    return one.tall + 2 * _before(one)


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
