"""What has been said of a machine so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sequencer.machine.heard.joint import OpenPoint

Need = str | dict[str, Any]
"""A need as a machine file writes it: ``guard``, ``{motor: loose}``, ``{any: [...]}``."""


@dataclass
class SaidJoint:
    """What was said of one thing that holds a part.

    Attributes:
        key: Its key under the part's ``joints``.
        words: What it was called, less its count and size.
        kind: Its kind; ``None`` until that is known.
        head: Its head; ``None`` where nothing needs one, or until it is known.
        hand: It was said to need no tool.
        count: How many; ``None`` where several were said, and not how many.
        counting: What to ask about the count where that is ``None``.
        family: Heads of this sort were said, without a size: phillips.
        tool: A tool that was named, where its head does not tell it: circlip pliers, 13 mm ring spanner.
        prevailing: What its self-locking nuts take to turn, on top of ``torque``.
        waits: What only this joint waits for, by the keys of relations.
    """

    key: str
    words: str
    kind: str | None = None
    count: int | None = 1
    counting: OpenPoint | None = None
    head: str | None = None
    family: str = ""
    hand: bool = False
    tool: str | None = None
    thread: str | None = None
    property_class: str | None = None
    torque: str | None = None
    prevailing: str | None = None
    position: str | None = None
    waits: dict[str, list[Need]] = field(default_factory=dict)


@dataclass
class SaidPart:
    """What was said of a part. ``None`` where nobody has said it yet.

    ``waits`` has what it waits for, by the keys of relations. ``practice`` has what was said of its holding,
    carrying and renewing, in the person's words.
    """

    key: str
    label: str
    why: str = ""
    joints: dict[str, SaidJoint] | None = None
    position: str | None = None
    waits: dict[str, list[Need]] | None = None
    spills: list[str] | None = None
    hazards: list[str] = field(default_factory=list)
    weight: str | None = None
    freedoms: dict[str, list[str] | None] = field(default_factory=dict)
    practice: dict[str, str] = field(default_factory=dict)


@dataclass
class SaidFluid:
    """A fluid, and how it is drained. ``drain`` is ``None`` until that was answered."""

    key: str
    label: str
    volume: str | None = None
    drain: dict[str, Any] | None = None


@dataclass
class Said:
    """All that was said.

    Attributes:
        later: Questions that were put off.
        isolate: A battery or supply is cut off first; ``None`` until that is known.
        raised: It is raised before anybody is under it; ``None`` until that is known.
        torques_asked: The question about torques was answered.
    """

    machine: str | None = None
    targets: list[str] = field(default_factory=list)
    positions: dict[str, str] = field(default_factory=dict)
    parts: dict[str, SaidPart] = field(default_factory=dict)
    fluids: dict[str, SaidFluid] = field(default_factory=dict)
    isolate: bool | None = None
    raised: bool | None = None
    torques_asked: bool = False
    later: dict[str, None] = field(default_factory=dict)

    def labels(self) -> dict[str, str]:
        """What each part is called."""
        return {key: part.label for key, part in self.parts.items()}
