"""The room that tools take: bodies by head, and the arc that a handle needs."""

import math
import random

import numpy as np
import pytest

from sequencer.graph.derive import derive
from sequencer.graph.geometry import scan
from sequencer.graph.geometry.replayed import replayed
from sequencer.graph.geometry.solids import NOWHERE, Solid
from sequencer.graph.geometry.sweep import UNITS
from sequencer.graph.geometry.tooling import ARC, arcs, handles, rods
from tests.graph.geometry.test_seen import CLIP, box, found, made
from tests.machine.texts import machine
from tests.support.profile import before_landing, counts

BOLT = "low: {joints: {bolt: {kind: %s, at: [0, 0, 0], axis: +z, %s}}}"


def bolted(kind, lengths):
    return machine(f"machine: m\nparts:\n  {BOLT % (kind, lengths)}\n")


def body(kind, lengths="reach: 100"):
    read = bolted(kind, lengths)
    return rods(read.joint("low", "bolt"), read.tools)


@pytest.mark.parametrize(
    ("kind", "across"),
    [
        ("bolt, head: 19", 26.7),
        ("bolt, head: 1/2 in", 1.3 * 12.7 + 2),
        ("bolt, head: 1 1/8 in", 1.3 * 28.575 + 2),
        ("screw, head: T30", 8),
        ("connector", 24),
    ],
)
def test_a_tool_is_as_thick_as_its_head_asks(kind, across):
    first = body(kind)[0]
    assert 2 * first.radius / UNITS == pytest.approx(across, abs=0.01)


def test_behind_the_socket_is_the_bar():
    first, bar = body("bolt, head: 19")
    assert (first.end, bar.begin, bar.end) == (40 * UNITS, 40 * UNITS, 100 * UNITS)
    assert bar.radius < first.radius
    assert len(body("bolt, head: 19", "reach: 30")) == 1


def test_a_pipe_two_millimetres_from_a_sockets_axis_bars_it():
    low = "low: {joints: {bolt: {kind: bolt, head: 19, at: [0, 0, 0], axis: +z, reach: 60}}}"
    pipe = "pipe: {box: {at: [2, -50, 20], size: [8, 100, 8]}, joints: {clip: {kind: clip}}}"
    assert found(low, pipe) == [("low/bolt", "behind", "pipe")]
    assert found(low, pipe.replace("at: [2,", "at: [14,")) == []


def test_a_flange_over_its_own_bolt_is_told_and_nothing_is_taken_off_for_it():
    flange = "{at: [-20, -20, 40], size: [60, 60, 8]}"
    pump = f"low: {{box: [{{at: [30, -20, 0], size: [20, 60, 40]}}, {flange}], %s}}"
    bolt = "joints: {bolt: {kind: bolt, head: 13, at: [0, 0, 0], axis: +z, reach: %s}}"
    barred = scan(made(pump % (bolt % 60)))
    assert (barred.shut, barred.hidden) == (("low/bolt",), ())
    assert scan(made(pump % (bolt % 40))).shut == ()
    lid = f"lid: {{{box(-20, -20, 48, 60, 60, 10)}, {CLIP}}}"
    beside = scan(made(pump % (bolt % 60), lid))
    assert (beside.shut, beside.hidden) == (("low/bolt",), ())
    graph = derive(beside.machine)
    (step,) = replayed(beside.machine, beside.room, [graph.operations["undo low/bolt"]]).shut
    assert step[0] == 1
    on_it = "joints: {bolt: {kind: bolt, head: 13, at: [0, 0, 48], axis: +z, reach: 60}}"
    assert scan(made(pump % on_it)).shut == ()


def walls(*sides):
    """Boxes around a bolt at (5, 5): to the right, left, behind, before."""
    where = {"a": (20, -10, 10, 30), "b": (-20, -10, 10, 30), "c": (-40, 20, 90, 10), "d": (-40, -20, 90, 10)}
    boxes = {side: box(x, y, 0, a, b, 40) for side, (x, y, a, b) in where.items()}
    return [f"{side}: {{{boxes[side]}, {CLIP}}}" for side in sides]


def test_an_arc_is_enough_for_a_handle():
    low = "low: {joints: {bolt: {kind: bolt, head: 10, at: [5, 5, 0], axis: +z, reach: 10, swing: 60}}}"
    assert found(low, *walls("a")) == []
    assert found(low, *walls("a", "b")) == []
    assert scan(made(low)).arcs == {}
    ((path, (degrees, way)),) = scan(made(low, *walls("a", "b", "c"))).arcs.items()
    assert (path, way) == ("low/bolt", "-y")
    assert degrees == pytest.approx(2 * math.degrees(math.atan2(15, 15)))  # between the walls' lower corners
    assert found(low, *walls("a", "b", "c", "d")) == [("low/bolt", "behind", "c or d")]


@before_landing
def test_an_arc_that_is_told_free_is_free_and_one_that_is_barred_is_not():
    rng = random.Random(4)
    turner = next(handles(bolted("bolt, head: 13", "swing: 50").joint("low", "bolt")))
    free = 0
    for _ in range(counts(quick=150, nightly=1_500)):
        rows = [[rng.randrange(-70, 60), rng.randrange(-70, 60), -5] for _ in range(rng.randrange(1, 5))]
        low = np.array(rows, dtype=np.int64) * UNITS
        high = low + np.array([[rng.randrange(5, 60), rng.randrange(5, 60), 10] for _ in rows]) * UNITS
        bars = {
            str(n): turner.bars(Solid(str(n), None, low[n : n + 1], high[n : n + 1]), NOWHERE)
            for n in range(len(rows))
        }
        for start, names in arcs(bars).items():
            turn = np.linspace(start, start + ARC, 181)[1:-1]
            out = np.linspace(0, 50, 251)[1:-1]
            x, y = (np.outer(out, part).ravel() for part in (np.cos(turn), np.sin(turn)))
            inside = (low[:, None, 0] < x * UNITS) & (x * UNITS < high[:, None, 0])
            inside &= (low[:, None, 1] < y * UNITS) & (y * UNITS < high[:, None, 1])
            seen = {str(n) for n in np.flatnonzero(inside.any(axis=1))}
            assert seen <= names
            free += not names
            for n in map(int, names - seen):  # only a sliver that no point fell into
                near = np.hypot(*(np.clip(0, low[n, a], high[n, a]) / UNITS for a in (0, 1)))
                width = sum(end - begin for begin, end in bars[str(n)])
                assert near > 45 or width < math.radians(2) or _only_at_an_end(bars[str(n)], start)
    assert free > 20


def _only_at_an_end(bars, start):
    turns = (-math.tau, 0, math.tau)
    inside = [
        min(end + turn, start + ARC) - max(begin + turn, start) for begin, end in bars for turn in turns
    ]
    return max(inside) < math.radians(1)
