"""Which keys of a machine file name things, and what kind of name each holds: what a prefix has to reach.

A path is that of a key within an entry; ``*`` stands for the name of a joint. A test holds this against the
schema: a key that names things and is not here would lead out of an assembly.
"""

from __future__ import annotations

from enum import Enum, auto

from sequencer.machine.trade.links import SEALANT, links
from sequencer.machine.trade.relations import FLUID, JOINT, PART, TASK, relations

Keys = tuple[str, ...]


class ReferenceKind(Enum):
    """What a key holds."""

    NAMES = auto()  # parts, joints, tasks, fluids that may be left out of the machine: then they are clear
    NEEDED = auto()  # the same, where what is left out is missed
    MAKES = auto()  # the same, and there is nothing of the entry that it stands in without it
    OWN = auto()  # joints of the part itself, or part/joint
    PLACE = auto()  # a position
    TOOL = auto()  # a tool, or a head
    FACE = auto()  # a name that joints have together
    LABEL = auto()  # what a person calls it
    FILE = auto()  # a file beside the machine file


MISSED = (ReferenceKind.NEEDED, ReferenceKind.MAKES)
"""What a key holds that is missed where it is left out of the machine."""

_NAMED = {True: ReferenceKind.NEEDED, False: ReferenceKind.NAMES}


def _relations(holder: str) -> dict[Keys, ReferenceKind]:
    """The keys of what something waits for until it is clear."""
    return {(one.key,): ReferenceKind.NAMES for one in relations(holder)}


def _links(holder: str) -> dict[Keys, ReferenceKind]:
    """The keys of what something goes with."""
    return {(one.key,): _NAMED[one.needed] for one in links(holder)}


def _work(holder: str) -> dict[Keys, ReferenceKind]:
    return {("from",): ReferenceKind.PLACE, ("tool",): ReferenceKind.TOOL, **_relations(holder)}


def _under(key: str, table: dict[Keys, ReferenceKind]) -> dict[Keys, ReferenceKind]:
    return {(key, *keys): kind for keys, kind in table.items()}


_TORQUE: dict[Keys, ReferenceKind] = {
    ("torque", "when"): ReferenceKind.NAMES,
    ("torque", "from"): ReferenceKind.PLACE,
}
_JOINT: dict[Keys, ReferenceKind] = {
    **_work(JOINT),
    **_TORQUE,
    **_links(JOINT),
    ("crack",): ReferenceKind.NAMES,
    ("crack", "while"): ReferenceKind.NAMES,
    ("fit", "tool"): ReferenceKind.TOOL,
    ("fit", "from"): ReferenceKind.PLACE,
    ("face",): ReferenceKind.FACE,
    **_under(SEALANT, _links(SEALANT)),
}


REFERENCES: dict[str, dict[Keys, ReferenceKind]] = {
    "positions": {
        ("label",): ReferenceKind.LABEL,
        ("needs",): ReferenceKind.NEEDED,
        ("drained",): ReferenceKind.NEEDED,
    },
    "tools": {},
    "fluids": {
        ("label",): ReferenceKind.LABEL,
        **_under("drain", _work(FLUID)),
        **_under("fill", _work(FLUID)),
        ("drain", "again_after"): ReferenceKind.NEEDED,
        ("drain", "plug", "again_after"): ReferenceKind.NEEDED,
        ("drain", "plug", "tool"): ReferenceKind.TOOL,
        **{("drain", "plug", *keys): kind for keys, kind in _TORQUE.items()},
        ("with",): ReferenceKind.NAMES,
    },
    "tasks": {
        ("label",): ReferenceKind.LABEL,
        ("undo", "label"): ReferenceKind.LABEL,
        **_work(TASK),
        ("after",): ReferenceKind.NEEDED,
        ("before",): ReferenceKind.NAMES,
        **_links(TASK),
        ("back_before",): ReferenceKind.NAMES,
        ("undo", "from"): ReferenceKind.PLACE,
        ("undo", "tool"): ReferenceKind.TOOL,
    },
    "parts": {
        ("label",): ReferenceKind.LABEL,
        ("from",): ReferenceKind.PLACE,
        **_relations(PART),
        ("loose",): ReferenceKind.OWN,
        ("loose", "joints"): ReferenceKind.OWN,
        ("aside",): ReferenceKind.OWN,
        ("aside", "joints"): ReferenceKind.OWN,
        ("rides", "on"): ReferenceKind.MAKES,
        ("rides", "with"): ReferenceKind.OWN,
        **_links(PART),
        **_under(SEALANT, _links(SEALANT)),
        ("mesh",): ReferenceKind.FILE,
        ("varies", "from"): ReferenceKind.PLACE,
        **{("joints", "*", *keys): kind for keys, kind in _JOINT.items()},
    },
}
"""For each section of names, what its entries' keys hold."""
