"""Machines of 15 to 40 parts at random: places, layers and fasteners as on a real one.

Invented by a random number. What is in the way is seldom more than two things, mostly at the same place.
"""

import random

WORDS = ("upper", "lower", "front", "rear", "left", "right", "inner", "outer", "main", "small")
THINGS = (
    "guard", "cover", "bracket", "duct", "shield", "tray", "housing", "pulley", "pump", "cooler",
    "panel", "stay", "manifold", "flange", "bracket plate", "filter housing", "relay box", "fan",
    "bearing cap", "mount",
)  # fmt: skip
PLACES = {
    "here": "At the machine",
    "under": "Underneath, enter",
    "left": "At the left side",
    "rear": "At the rear",
}
FASTENERS = (
    ("bolt", ("8", "10", "10", "13", "13", "16", "17")),
    ("nut", ("10", "13", "13", "17")),
    ("screw", ("PH2", "T25", "T30")),
    ("clip", (None,)),
    ("connector", (None,)),
    ("hose clamp", (None,)),
)
THREADS = {"8": "M5", "10": "M6", "13": "M8", "16": "M10", "17": "M10"}
TORQUES = {"M5": "5 N.m", "M6": "9 N.m", "M8": "22 N.m", "M10": "44 N.m"}


def told_machine(number):
    """The text of a machine file, and the part that is wanted off: one deep inside."""
    rng = random.Random(number)
    count = rng.randint(15, 40)
    names = _names(rng, count)
    places = ["here", *rng.sample(list(PLACES)[1:], rng.randint(1, 3))]
    lines = [f"machine: Machine by chance {number}, invented", "positions:"]
    for place in places:
        enter = ", enter: 30 s, leave: 20 s" if place == "under" else ""
        lines.append(f"  {place}: {{label: {PLACES[place].removesuffix(', enter')}{enter}}}")
    lines.append("parts:")
    where = {}
    for place, name in enumerate(names):
        where[name] = rng.choice((places[0], rng.choice(places)))
        lines += _part(rng, name, names[:place], where)
    return "\n".join(lines) + "\n", names


def _names(rng, count):
    found = []
    while len(found) < count:
        name = f"{rng.choice(WORDS)}-{rng.choice(THINGS).replace(' ', '-')}"
        if name not in found:
            found.append(name)
    return found


def _part(rng, name, earlier, where):
    lines = [f"  {name}:", f"    label: {name.replace('-', ' ').capitalize()}", f"    from: {where[name]}"]
    near = [one for one in earlier if where[one] == where[name]]
    behind = []
    for _ in range(rng.choice((0, 1, 1, 1, 2))):
        pool = near if near and rng.random() < 0.8 else earlier
        if pool:
            one = rng.choice(pool[-6:])
            behind += [one] if one not in behind else []
    if behind:
        key = "behind" if rng.random() < 0.85 else "trapped_by"
        lines.append(f"    {key}: [{', '.join(behind)}]")
    if rng.random() < 0.15:
        lines.append(f"    weight: {rng.choice((4, 8, 12))} kg")
    lines.append("    joints:")
    for kind in dict.fromkeys(rng.choice(FASTENERS)[0] for _ in range(rng.choice((1, 1, 2)))):
        head = rng.choice(dict(FASTENERS)[kind])
        lines.append(f"      {kind.replace(' ', '-')}s: {{{_joint(rng, kind, head)}}}")
    return lines


def _joint(rng, kind, head):
    count = 1 if kind in ("connector", "hose clamp") else rng.choice((1, 2, 2, 3, 4, 6))
    says = [f"kind: {'clamp' if kind == 'hose clamp' else kind}", f"count: {count}"]
    if head:
        says.append(f"head: {head}")
    thread = THREADS.get(head or "")
    if thread and kind in ("bolt", "nut"):
        says += [f"thread: {thread}", "class: 8.8"]
        if rng.random() < 0.5:
            says.append(f"torque: {{value: {TORQUES[thread]}, source: invented}}")
    if kind in ("clip", "connector", "hose clamp"):
        says.append(f"each: {rng.choice((5, 8, 12))} s")
    else:
        says.append(f"each: {rng.choice((10, 15, 20, 30))} s")
    return ", ".join(says)
