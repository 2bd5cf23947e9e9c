"""Which keys of a machine file name things, and what kind of name each holds: what a prefix has to reach.

A path is that of a key within an entry; ``*`` stands for the name of a joint. A test holds this against the
schema: a key that names things and is not here would lead out of an assembly.
"""

from __future__ import annotations

from enum import Enum, auto

from sequencer.machine.relations import FLUID, JOINT, PART, TASK, relations

Keys = tuple[str, ...]


class Kind(Enum):
    """What a key holds."""

    NAMES = auto()  # parts, joints, tasks, fluids that may be left out of the machine: then they are clear
    NEEDED = auto()  # the same, where what is left out is missed
    OWN = auto()  # joints of the part itself, or part/joint
    PLACE = auto()  # a position
    TOOL = auto()  # a tool, or a head
    FACE = auto()  # a name that joints have together
    LABEL = auto()  # what a person calls it
    FILE = auto()  # a file beside the machine file


def _relations(holder: str) -> dict[Keys, Kind]:
    """The keys of what something waits for until it is clear."""
    return {(one.key,): Kind.NAMES for one in relations(holder)}


def _work(holder: str) -> dict[Keys, Kind]:
    return {("from",): Kind.PLACE, ("tool",): Kind.TOOL, **_relations(holder)}


_TORQUE: dict[Keys, Kind] = {("torque", "when"): Kind.NAMES, ("torque", "from"): Kind.PLACE}
_JOINT: dict[Keys, Kind] = {
    **_work(JOINT),
    **_TORQUE,
    ("wet",): Kind.NEEDED,
    ("needs",): Kind.NEEDED,
    ("crack",): Kind.NAMES,
    ("crack", "while"): Kind.NAMES,
    ("fit", "tool"): Kind.TOOL,
    ("fit", "from"): Kind.PLACE,
    ("face",): Kind.FACE,
    ("sealant", "wet"): Kind.NAMES,
}


def _under(key: str, table: dict[Keys, Kind]) -> dict[Keys, Kind]:
    return {(key, *keys): kind for keys, kind in table.items()}


REFERENCES: dict[str, dict[Keys, Kind]] = {
    "positions": {("label",): Kind.LABEL, ("needs",): Kind.NEEDED, ("drained",): Kind.NEEDED},
    "tools": {},
    "fluids": {
        ("label",): Kind.LABEL,
        **_under("drain", _work(FLUID)),
        **_under("fill", _work(FLUID)),
        ("drain", "again_after"): Kind.NEEDED,
        ("drain", "plug", "again_after"): Kind.NEEDED,
        ("drain", "plug", "tool"): Kind.TOOL,
        **{("drain", "plug", *keys): kind for keys, kind in _TORQUE.items()},
        ("with",): Kind.NAMES,
    },
    "tasks": {
        ("label",): Kind.LABEL,
        ("undo", "label"): Kind.LABEL,
        **_work(TASK),
        ("after",): Kind.NEEDED,
        ("before",): Kind.NAMES,
        ("serves",): Kind.NAMES,
        ("carries",): Kind.NAMES,
        ("back_before",): Kind.NAMES,
        ("undo", "from"): Kind.PLACE,
        ("undo", "tool"): Kind.TOOL,
    },
    "parts": {
        ("label",): Kind.LABEL,
        ("from",): Kind.PLACE,
        **_relations(PART),
        ("loose",): Kind.OWN,
        ("loose", "joints"): Kind.OWN,
        ("aside",): Kind.OWN,
        ("aside", "joints"): Kind.OWN,
        ("rides", "on"): Kind.NEEDED,
        ("rides", "with"): Kind.OWN,
        ("wet",): Kind.NEEDED,
        ("needs",): Kind.NEEDED,
        ("sealant", "wet"): Kind.NAMES,
        ("mesh",): Kind.FILE,
        **{("joints", "*", *keys): kind for keys, kind in _JOINT.items()},
    },
}
"""For each section of names, what its entries' keys hold."""
