"""What a finding of a scan shows: what moves, on which way, what is in its way, where the two meet; in mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sequencer.graph.geometry import Hit, Scan, Seen
from sequencer.graph.geometry.solids import Solid
from sequencer.graph.geometry.sweep import UNITS
from sequencer.graph.geometry.tooling import way_of
from sequencer.machine.facts.frame import WAYS, direction
from sequencer.machine.model import State
from sequencer.render.pictures.slices import sliced

_MOST_BOXES = 150


@dataclass(frozen=True)
class ScanScene:
    """One finding in the frame, in mm: corners of boxes as rows of low x, y, z, high x, y, z."""

    mover: np.ndarray
    swept: np.ndarray
    spots: np.ndarray
    circle: float
    axis: int
    obstacle: np.ndarray
    context: np.ndarray


def scene_of(scan: Scan, seen: Seen, hit: Hit) -> ScanScene:
    """What ``seen`` shows by one of its hits."""
    room = scan.room
    everything = {solid.path: rows_of(solid) for solid in room.all}
    obstacle = everything[hit.obstacle]
    others = [rows for path, rows in everything.items() if path not in (hit.obstacle, seen.part, hit.rider)]
    body = np.concatenate([everything.get(part, np.empty((0, 6))) for part in (seen.part, hit.rider)])
    mover, swept = body, np.empty((0, 6))
    spots, circle, axis = np.empty((0, 6)), 0.0, 2
    if seen.joint is not None:
        joint = scan.machine.joint(seen.part, seen.joint)
        axis, sign = way_of(hit.way)
        length = {"reach": joint.reach, "draw": joint.draw, "swing": joint.reach}[hit.what] or 0
        points = np.array([[float(along) for along in spot] for spot in joint.spots])
        tips = points.copy()
        tips[:, axis] += sign * float(length)
        spots = np.hstack([points, tips])
        circle = float(joint.swing or 0) if hit.what == "swing" else 0.0
    elif hit.what == "out":
        swept = _swept(body, hit.leg, obstacle)
    else:
        by = np.array(room.bodies[seen.part].moved[State[hit.what.upper()]]) / UNITS
        moved = body + np.tile(by, 2)
        swept = np.hstack([np.minimum(body, moved)[:, :3], np.maximum(body, moved)[:, 3:]])
    return ScanScene(mover, swept, spots, circle, axis, obstacle, np.concatenate([np.empty((0, 6)), *others]))


def _swept(body: np.ndarray, way: str, obstacle: np.ndarray) -> np.ndarray:
    """What a body sweeps on its way out, to beyond what it runs into; on a slant in steps."""
    if way not in WAYS:
        ahead = np.array([float(part) for part in direction(way)])
        ahead /= np.linalg.norm(ahead)
        middles = (rows.reshape(-1, 3).mean(axis=0) for rows in (obstacle, body))
        far = float(np.linalg.norm(np.subtract(*middles)))
        return np.concatenate([body + np.tile(ahead * far * step / 4, 2) for step in range(1, 6)])
    axis, sign = way_of(way)
    swept = body.copy()
    end = obstacle[:, 3 + axis].max() if sign > 0 else obstacle[:, axis].min()
    reach = max(60.0, (body[:, 3 + axis] - body[:, axis]).max() * 0.3)
    if sign > 0:
        swept[:, 3 + axis] = np.maximum(swept[:, 3 + axis], end + reach)
    else:
        swept[:, axis] = np.minimum(swept[:, axis], end - reach)
    return swept


def rows_of(solid: Solid) -> np.ndarray:
    """The boxes in mm; of very many, the one box around them all; of a shape, the boxes around its slices."""
    if solid.shape is not None:
        return sliced(solid.shape.triangles)
    low, high = solid.low / UNITS, solid.high / UNITS
    if len(low) > _MOST_BOXES:
        low, high = low.min(axis=0, keepdims=True), high.max(axis=0, keepdims=True)
    return np.hstack([low, high])


def window_of(scene: ScanScene) -> tuple[np.ndarray, np.ndarray]:
    """What of the frame is shown: all that moves and is in the way, and some of what is around."""
    shown = [scene.mover, scene.swept, scene.obstacle]
    if len(scene.spots):
        ends = scene.spots.reshape(-1, 3)
        shown = [np.hstack([ends - scene.circle, ends + scene.circle]), scene.obstacle]
    return window_around(np.concatenate(shown), 0.12)


def window_around(rows: np.ndarray, share: float) -> tuple[np.ndarray, np.ndarray]:
    """Corners around boxes, with a ``share`` of their length to each side."""
    low, high = rows[:, :3].min(axis=0), rows[:, 3:].max(axis=0)
    margin = max(20.0, float((high - low).max()) * share)
    return low - margin, high + margin


def meeting_of(scene: ScanScene) -> tuple[int, np.ndarray] | None:
    """The first box or fastener that meets what is in the way, and the room that the two have in common."""
    ways = scene.swept
    if len(scene.spots):
        ends = scene.spots.reshape(-1, 2, 3)
        wide = np.where(np.arange(3) == scene.axis, 0.0, max(scene.circle, 0.01))
        ways = np.hstack([ends.min(axis=1) - wide, ends.max(axis=1) + wide])
    for number, way in enumerate(ways):
        for other in scene.obstacle:
            low, high = np.maximum(way[:3], other[:3]), np.minimum(way[3:], other[3:])
            if (low <= high).all():
                return number, np.concatenate([low, high])
    return None
