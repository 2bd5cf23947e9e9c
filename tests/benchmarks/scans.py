"""How long a scan takes by the number of parts: boxes and meshes, each size beside the one before.

Run: ``python -m tests.benchmarks.scans [--sizes 125 250 500] [--kinds boxes crowd meshes]``. The parts stand
in a grid with room between, and differ in kind and turn: invented. A mesh has 2,000 triangles. The boxes of
a crowd lie anyhow, many inside each other. Times are of the processor; the load is told beside them.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time
from pathlib import Path

TRIANGLES = 2_000


def written(kind: str, parts: int, folder: Path) -> Path:
    """A machine file of so many parts, with its meshes beside it."""
    rng = random.Random(parts)
    wide = round(parts ** (1 / 3) + 0.5)
    lines = ["machine: a grid", "parts:"]
    for number in range(parts):
        x, y, z = number % wide, number // wide % wide, number // wide // wide
        at = [60 * x + rng.randrange(20), 60 * y + rng.randrange(20), 60 * z + rng.randrange(5)]
        room = f"box: {{at: {at}, size: [40, 40, 30]}}"
        if kind == "meshes":
            _mesh(folder / f"p{number}.stl", at, rng)
            room = f"mesh: p{number}.stl"
        joint = (
            f"{{kind: bolt, head: 13, at: [{at[0] + 20}, {at[1] + 20}, {at[2] + 30}], axis: +z, reach: 25}}"
        )
        lines.append(f"  p{number}: {{{room}, out: [+z, -y], joints: {{b: {joint}}}}}")
    path = folder / "m.yaml"
    path.write_text("\n".join(lines), "utf-8")
    return path


def crowded(parts: int, folder: Path) -> Path:
    """A machine file of so many boxes of which hardly one stands free, each with two ways out."""
    rng = random.Random(parts)
    wide = round(30 * parts ** (1 / 3))
    lines = ["machine: a crowd", "parts:"]
    for number in range(parts):
        at, size = [rng.randrange(wide) for _ in range(3)], [rng.randrange(10, 40) for _ in range(3)]
        ways = ", ".join(rng.sample(["+x", "-x", "+y", "-y", "+z", "-z"], 2))
        head = [at[0] + size[0] // 2, at[1] + size[1] // 2, at[2] + size[2]]
        joint = f"{{kind: bolt, head: 13, at: {head}, axis: +z, reach: 25}}"
        lines.append(
            f"  p{number}: {{box: {{at: {at}, size: {size}}}, out: [{ways}], joints: {{b: {joint}}}}}"
        )
    path = folder / "m.yaml"
    path.write_text("\n".join(lines), "utf-8")
    return path


def _mesh(path: Path, at: list[int], rng: random.Random) -> None:
    import trimesh
    from trimesh import transformations

    if rng.random() < 0.5:
        mesh = trimesh.creation.cylinder(20, 30, sections=TRIANGLES // 4)
    else:
        mesh = trimesh.creation.annulus(8, 20, 30, sections=TRIANGLES // 8)
    mesh.apply_transform(transformations.rotation_matrix(rng.random(), [0, 0, 1]))
    mesh.apply_translation([at[0] + 20, at[1] + 20, at[2] + 15])
    mesh.export(path)


def main() -> None:
    """Print a line for each kind and size."""
    from sequencer.graph.geometry import scan
    from sequencer.machine import read

    asked = argparse.ArgumentParser()
    asked.add_argument("--sizes", type=int, nargs="+", default=[125, 250, 500, 1_000])
    asked.add_argument("--kinds", nargs="+", default=["boxes", "crowd", "meshes"])
    asked = asked.parse_args()
    for kind in asked.kinds:
        before = None
        for parts in asked.sizes:
            with tempfile.TemporaryDirectory() as folder:
                made = crowded(parts, Path(folder)) if kind == "crowd" else written(kind, parts, Path(folder))
                machine = read(made).machine
                begin = time.process_time()
                found = scan(machine)
                took = time.process_time() - begin
            ratio = f", {took / before:.1f} times the one before" if before else ""
            print(
                f"{kind:7} {parts:5} parts: {took:6.2f} s at load {os.getloadavg()[0]:.1f}, "
                f"{len(found.hidden)} seen and not written{ratio}",
                flush=True,
            )
            before = took


if __name__ == "__main__":
    main()
