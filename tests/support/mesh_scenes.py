"""Scenes of meshes whose truth is known from how they are made: fits, lips, housings, flanges, pipes.

Each is invented, by number: facets, turns, places and sizes by chance, and the whole turned as one, so that
nothing lies along an axis but what has to. The truth is what each part runs into on its one way out.
"""

import random
from itertools import pairwise

import numpy as np


class Scene:
    """Parts as meshes, their ways out, and for each which others bar it."""

    def __init__(self, number):
        self.rng = random.Random(number)
        self.kind = KINDS[number % len(KINDS)]
        self.meshes, self.ways, self.truth, self.bolts = {}, {}, {}, {}
        globals()[f"_{self.kind}"](self)
        self._turn(number)

    def put(self, name, mesh, way=None, barred=()):
        self.meshes[name], self.truth[name] = mesh, set(barred)
        if way is not None:
            self.ways[name] = np.array(way, dtype=float)

    def facets(self):
        return self.rng.choice([12, 16, 24, 31, 48, 64])

    def _turn(self, number):
        from trimesh import transformations

        turn = transformations.rotation_matrix(self.rng.uniform(0, 6), [0, 0, 1])
        if number % 3 == 0:  # and leant over
            turn = transformations.rotation_matrix(self.rng.uniform(0.1, 1.4), [1, 0, 0]) @ turn
        turn[:3, 3] = [self.rng.randrange(-200, 200) for _ in range(3)]
        for mesh in self.meshes.values():
            mesh.apply_transform(turn)
        self.ways = {name: turn[:3, :3] @ way for name, way in self.ways.items()}

    def write(self, folder):
        """The machine file, with its meshes beside it."""
        lines = [f"machine: {self.kind}", "parts:"]
        for name, mesh in self.meshes.items():
            mesh.export(folder / f"{name}.stl")
            way = self.ways.get(name)
            out = "" if way is None else f", out: {[round(float(one), 6) for one in way]}"
            lines.append(f"  {name}: {{mesh: {name}.stl{out}, joints: {{c: {{kind: clip}}}}}}")
        path = folder / "m.yaml"
        path.write_text("\n".join(lines), "utf-8")
        return path


UP, DOWN, RIGHT = (0, 0, 1), (0, 0, -1), (1, 0, 0)
KINDS = ("fit", "lip", "bore", "bracket", "nested", "flange", "pipe", "stack")


def _round(scene, radius, low, high, at=(0, 0)):
    import trimesh
    from trimesh import transformations

    mesh = trimesh.creation.cylinder(radius, high - low, sections=scene.facets())
    mesh.apply_transform(transformations.rotation_matrix(scene.rng.uniform(0, 6), [0, 0, 1]))
    mesh.apply_translation([*at, (low + high) / 2])
    return mesh


def _ring(scene, hole, radius, low, high, at=(0, 0)):
    import trimesh
    from trimesh import transformations

    mesh = trimesh.creation.annulus(hole, radius, high - low, sections=scene.facets())
    mesh.apply_transform(transformations.rotation_matrix(scene.rng.uniform(0, 6), [0, 0, 1]))
    mesh.apply_translation([*at, (low + high) / 2])
    return mesh


def _block(low, high):
    import trimesh

    return trimesh.creation.box(bounds=[low, high])


def _turned(scene, profile):
    """A body of revolution, from (radius, height) round."""
    import trimesh

    return trimesh.creation.revolve(profile, sections=scene.facets())


def _gap(scene):
    return scene.rng.choice([0.0, 0.02, 0.05, 0.2, 1.0])


def _fit(scene):
    """A shaft in two bores in line, with or without a cap over them."""
    radius = scene.rng.uniform(4, 40)
    capped = scene.rng.random() < 0.5
    scene.put("shaft", _round(scene, radius, 0, 60), UP, ["cap"] if capped else [])
    scene.put("lower", _ring(scene, radius + _gap(scene), radius * 2, 10, 30), DOWN)
    scene.put("upper", _ring(scene, radius + _gap(scene), radius * 2, 70, 90), UP, ["cap"] if capped else [])
    if capped:
        scene.put("cap", _round(scene, radius * 1.5, 90, 95), UP)


def _lip(scene):
    """A shaft under a ring that is narrower by a little."""
    radius = scene.rng.uniform(8, 40)
    lip = scene.rng.uniform(0.4, 4)
    scene.put("shaft", _round(scene, radius, 0, 60), UP, ["ring"])
    scene.put("body", _ring(scene, radius + _gap(scene), radius + 20, 0, 70), DOWN, [])
    scene.put("ring", _ring(scene, radius - lip, radius + 10, 70, 72), UP)


def _bore(scene):
    """A stepped shaft in a stepped, chamfered bore: out one way, and barred the other."""
    small = scene.rng.uniform(5, 20)
    large, gap = small + scene.rng.uniform(1, 10), _gap(scene)
    shaft = [(0, 0), (small, 0), (small, 30), (large, 30), (large, 50), (0, 50)]
    outer = large + 15
    inside = [
        (small + gap + 2, 0),
        (outer, 0),
        (outer, 60),
        (large + gap + 2, 60),
        (large + gap, 58),
        (large + gap, 30),
    ]
    body = [*inside, (small + gap, 30), (small + gap, 2), (small + gap + 2, 0)]
    scene.put("shaft", _turned(scene, shaft), UP)
    down = scene.rng.random() < 0.5
    scene.put("body", _turned(scene, body), UP if down else DOWN, ["shaft"] if down else [])
    low = small + scene.rng.uniform(2, 8)
    plate = scene.rng.random() < 0.5
    if plate:
        scene.truth["shaft"].add("plate")
        if down:
            scene.truth["body"].add("plate")
        scene.put("plate", _ring(scene, low - 6 if low > 8 else 2, outer, 60, 66), UP)


def _bracket(scene):
    """A block under an angle, which bars it upwards and not away from it."""
    thick, over = scene.rng.uniform(0.6, 6), scene.rng.uniform(1, 30)
    points = [
        [0, 0],
        [thick, 0],
        [thick, 50],
        [thick + over, 50],
        [thick + over, 50 + thick],
        [0, 50 + thick],
    ]
    mesh = _extruded(_polygon(points), 0, 60)
    mesh.apply_transform([[1, 0, 0, 0], [0, 0, -1, 60], [0, 1, 0, 0], [0, 0, 0, 1]])
    up = scene.rng.random() < 0.5
    gap = _gap(scene)
    scene.put(
        "block",
        _block((thick + gap, 5, 0), (thick + 45, 55, 48)),
        UP if up else RIGHT,
        ["angle"] if up else [],
    )
    scene.put("angle", mesh, (-1, 0, 0), [])


def _extruded(polygon, low, high):
    """A prism over a polygon, holes and all."""
    import shapely
    import trimesh

    triangles = []
    for one in shapely.constrained_delaunay_triangles(polygon).geoms:
        a, b, c = shapely.geometry.polygon.orient(one).exterior.coords[:3]
        triangles += [[(*p, high) for p in (a, b, c)], [(*p, low) for p in (c, b, a)]]
    polygon = shapely.geometry.polygon.orient(polygon)
    for ring in (polygon.exterior, *polygon.interiors):
        at = list(ring.coords)
        for a, b in pairwise(at):
            triangles += [[(*a, low), (*b, low), (*b, high)], [(*a, low), (*b, high), (*a, high)]]
    return trimesh.Trimesh(**trimesh.triangles.to_kwargs(np.array(triangles)))


def _polygon(points):
    import shapely

    return shapely.Polygon(points)


def _nested(scene):
    """A cup in a cup, and a lid on both or a collar over the inner one's edge."""
    radius, wall, gap = scene.rng.uniform(20, 50), scene.rng.uniform(0.6, 3), max(0.05, _gap(scene))
    inner = [(0, 5), (radius, 5), (radius, 60), (radius - wall, 60), (radius - wall, 5 + wall), (0, 5 + wall)]
    out = radius + gap + wall
    outer = [(0, 0), (out, 0), (out, 55), (radius + gap, 55), (radius + gap, 5 - gap), (0, 5 - gap)]
    what = scene.rng.choice(["open", "lid", "collar"])
    scene.put("inner", _turned(scene, inner), UP, [] if what == "open" else ["over"])
    scene.put("outer", _turned(scene, outer), DOWN, [])
    if what == "lid":
        scene.put("over", _round(scene, out, 60, 64), UP)
    if what == "collar":
        scene.put("over", _ring(scene, radius - wall / 2, out, 62, 64), UP)


def _flange(scene):
    """Two flanges bolted together: the bolts first, and a lug that may stand over one of them."""
    radius = scene.rng.uniform(30, 60)
    count = scene.rng.randrange(3, 6)
    turns = [2 * np.pi * n / count for n in range(count)]
    places = [(radius * np.cos(turn), radius * np.sin(turn)) for turn in turns]
    hole = 5 + max(0.2, _gap(scene))
    for name, low, high in (("lower", 0, 10), ("upper", 10, 20)):
        disc = _polygon(
            [(np.cos(t) * (radius + 15), np.sin(t) * (radius + 15)) for t in np.linspace(0, 6.2, 60)]
        )
        for x, y in places:
            n = scene.facets()
            disc = disc - _polygon(
                [(x + hole * np.cos(t), y + hole * np.sin(t)) for t in np.arange(n) * 2 * np.pi / n]
            )
        scene.put(name, _extruded(disc, low, high), UP if name == "upper" else DOWN)
    for n, at in enumerate(places):
        bolt = _turned(scene, [(0, -5), (5, -5), (5, 20), (9, 20), (9, 28), (0, 28)])
        bolt.apply_translation([*at, 0])
        scene.put(f"bolt{n}", bolt, UP)
        scene.truth["upper"].add(f"bolt{n}")
    if scene.rng.random() < 0.5:
        x, y = places[0]
        scene.put("lug", _block((x - 12, y - 12, 40), (x + 12, y + 12, 50)), UP)
        scene.truth["bolt0"].add("lug")
        scene.truth["upper"].add("lug")


def _pipe(scene):
    """A pipe across the way of a drum, just in it or just beside it."""
    import trimesh
    from trimesh import transformations

    radius, pipe = scene.rng.uniform(10, 40), scene.rng.uniform(3, 12)
    drum = _round(scene, radius, 0, 50)
    # how far the drum's outline really reaches towards the pipe, and the pipe's towards it
    tube = trimesh.creation.cylinder(pipe, 300, sections=scene.facets())
    tube.apply_transform(transformations.rotation_matrix(np.pi / 2, [0, 1, 0]))
    apart = scene.rng.choice([-6, -2, -0.5, 0.5, 2, 6])
    reach = drum.vertices[:, 1].max() - tube.vertices[:, 1].min()
    tube.apply_translation([0, reach + apart, 50 + pipe + scene.rng.uniform(0.5, 40)])
    scene.put("drum", drum, UP, ["pipe"] if apart < 0 else [])
    scene.put("pipe", tube, RIGHT)


def _stack(scene):
    """Plates and rings on each other, face to face: each bars what is under it, or has a hole for it."""
    height, names, held = 0.0, [], {}
    sizes = [scene.rng.uniform(10, 40) for _ in range(scene.rng.randrange(3, 6))]
    holes = [scene.rng.choice([0.0, scene.rng.uniform(3, 39)]) for _ in sizes]
    for n, (size, hole) in enumerate(zip(sizes, holes, strict=True)):
        thick = scene.rng.uniform(0.5, 20)
        if hole and hole < size - 2:
            mesh, held[n] = _ring(scene, hole, size, height, height + thick), hole
        else:
            mesh, held[n] = _round(scene, size, height, height + thick), 0.0
        names.append(f"s{n}")
        scene.put(names[-1], mesh, UP)
        height += thick
    for n in range(len(sizes)):
        for m in range(n + 1, len(sizes)):
            over = min(sizes[n], sizes[m]) - max(held[n], held[m])
            if over > 0.5:
                scene.truth[f"s{n}"].add(f"s{m}")
            elif over > -3:  # too near to be sure, with the facets as they are
                scene.truth[f"s{n}"].add(f"?s{m}")
