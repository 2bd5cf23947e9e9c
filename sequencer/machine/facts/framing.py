"""Where an assembly is: its boxes and places, of its own frame, in the frame of the machine.

    include: [{assembly: wheel-end, as: rf, frame: {at: [620, 300, 0], along: [+y, -x, +z]}}]

``at`` is where its nought lies, ``along`` which way its own x, y and z run there; mirrored will do, for the
other side. An assembly that says what its ``frame`` is has one of its own, and its boxes are left out where
an include does not say where that lies.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

AXES = ("x", "y", "z")
STRAIGHT = ("+x", "+y", "+z")

_OF_A_PART = ("box", "out", "mesh", "mesh_unit")
_OF_A_JOINT = ("box", "axis", "reach", "swing", "draw")


@dataclass(frozen=True)
class Frame:
    """Where an assembly's frame lies in the machine's.

    Attributes:
        at: Its nought, in mm, as the file has the numbers.
        along: Which ways of the machine its own x, y and z run: ``+x``, ``-y`` …
    """

    at: tuple[str, str, str]
    along: tuple[str, ...] = STRAIGHT

    @property
    def is_the_machines(self) -> bool:
        """Whether the two are one and the same."""
        return self.along == STRAIGHT and all(Decimal(one) == 0 for one in self.at)

    def turned(self, raw: object) -> Any:  # noqa: ANN401 - as a file has it
        """Three numbers as they lie in the machine; what is none stays, for the checks to tell."""
        numbers = _numbers(raw)
        if numbers is None:
            return raw
        found = {way[1]: one if way[0] == "+" else -one for way, one in zip(self.along, numbers, strict=True)}
        return [_text(found[axis]) for axis in AXES]

    def moved(self, raw: object) -> Any:  # noqa: ANN401
        """A point of its frame as a point of the machine's."""
        numbers = _numbers(self.turned(raw)) if _numbers(raw) else None
        if numbers is None:
            return raw
        return [_text(Decimal(nought) + one) for nought, one in zip(self.at, numbers, strict=True)]

    def way(self, raw: object) -> Any:  # noqa: ANN401
        """A way, by its name or as three numbers."""
        if isinstance(raw, str) and len(raw) == 2 and raw[0] in "+-" and raw[1] in AXES:
            along = self.along[AXES.index(raw[1])]
            return along if raw[0] == "+" else f"{'-' if along[0] == '+' else '+'}{along[1]}"
        return self.turned(raw)

    def box(self, raw: object) -> Any:  # noqa: ANN401
        """A box: its corner with the least x, y and z is another one once it is turned."""
        if not isinstance(raw, dict):
            return raw
        corner, size = _numbers(raw.get("at")), _numbers(raw.get("size"))
        if corner is None or size is None:
            return raw
        far = [one + length for one, length in zip(corner, size, strict=True)]
        ends = [_numbers(self.moved([_text(one) for one in end])) or [] for end in (corner, far)]
        near = [min(pair) for pair in zip(*ends, strict=True)]
        lengths = [abs(b - a) for a, b in zip(*ends, strict=True)]
        return {**raw, "at": [_text(one) for one in near], "size": [_text(one) for one in lengths]}


def placed(parts: object, frame: Frame | None) -> None:
    """Put what an assembly's ``parts`` say of where they are into ``frame``; ``None``: leave it out.

    A part's shape from a file lies where its file has it, so that it stays only where the two frames are one.
    """
    for part in parts.values() if isinstance(parts, dict) else ():
        if not isinstance(part, dict) or (frame is not None and frame.is_the_machines):
            continue
        joints = part.get("joints")
        held = [one for one in joints.values() if isinstance(one, dict)] if isinstance(joints, dict) else []
        states = [one for key in ("loose", "aside") if isinstance(one := part.get(key), dict)]
        if frame is None:
            _without(part, held, states)
            continue
        for key in ("mesh", "mesh_unit"):
            part.pop(key, None)
        _each(part, "box", frame.box)
        _each(part, "out", frame.way)
        for state in states:
            _each(state, "by", frame.turned)
        for joint in held:
            _each(joint, "box", frame.box)
            _each(joint, "axis", frame.way)
            _each(joint, "at", frame.moved)


def _without(part: dict[str, Any], joints: list[dict[str, Any]], states: list[dict[str, Any]]) -> None:
    for key in _OF_A_PART:
        part.pop(key, None)
    for state in states:
        state.pop("by", None)
    for joint in joints:
        for key in _OF_A_JOINT:
            joint.pop(key, None)
        if _in_frame(joint.get("at")):
            del joint["at"]


def _each(of: dict[str, Any], key: str, change: Callable[[object], Any]) -> None:
    """Change one value, or each of a list of them; three numbers are one."""
    raw = of.get(key)
    if isinstance(raw, list) and _numbers(raw) is None:
        of[key] = [change(one) for one in raw]
    elif raw is not None:
        of[key] = change(raw)


def _in_frame(raw: object) -> bool:
    """Whether ``at`` says places of the frame, and not the pattern of its fasteners."""
    return isinstance(raw, list) and any(_numbers(one) is not None for one in (raw, *raw))


def _numbers(raw: object) -> list[Decimal] | None:
    """The three numbers of a point; ``None`` where it is none."""
    if not isinstance(raw, list) or len(raw) != len(AXES) or not all(isinstance(one, str) for one in raw):
        return None
    try:
        found = [Decimal(one.strip()) for one in raw]
    except InvalidOperation:
        return None
    return found if all(one.is_finite() for one in found) else None


def _text(number: Decimal) -> str:
    """As a file has it: no exponent, and no nought at the end."""
    text = f"{number:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
