"""Which word of a line stands for what in its reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum

from sequencer.machine.heard.tokens import Token, tokens_of
from sequencer.spoken.values import Act, Care, Did, Line, Name


class Role(Enum):
    """What words stand for."""

    ACT = "act"
    NAME = "name"
    WAY = "way"
    JOINT = "joint"
    TOOL = "tool"
    SPILL = "spill"
    CARE = "care"
    NOTE = "note"
    FACT = "fact"
    WHOLE = "whole"


@dataclass
class LineStretch:
    """Words of a line, by their places, that one thing which was read accounts for."""

    role: Role
    at: list[int]
    of: object


@dataclass
class Accounts:
    """The words of a line, and what accounts for them."""

    tokens: Sequence[Token]
    stretches: list[LineStretch] = field(default_factory=list)
    _free: list[tuple[str, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._free = [(word, at) for at, one in enumerate(self.tokens) for word in _words(one.raw)]

    def take(self, role: Role, text: str, of: object = None) -> None:
        """The words of a text stand for something: where they stand together, else one by one."""
        words = _words(text)
        free = [one for one, _ in self._free]
        starts = (n for n in range(len(free)) if words and free[n : n + len(words)] == words)
        start = next(starts, None)
        if start is not None:
            taken = self._free[start : start + len(words)]
        else:
            taken = []
            for word in words:
                alike = (
                    one for one in self._free if word in (one[0], self.norm(one[1])) and one not in taken
                )
                taken += [one for one in (next(alike, None),) if one is not None]
        self._free = [one for one in self._free if one not in taken]
        if taken:
            self.stretches.append(LineStretch(role, sorted({at for _, at in taken}), of))

    @property
    def left(self) -> list[int]:
        """Words that nothing accounts for."""
        return sorted({at for _, at in self._free})

    def norm(self, at: int) -> str:
        """A word as it is read; empty beyond both ends."""
        return self.tokens[at].norm if 0 <= at < len(self.tokens) else ""

    def norms(self, one: LineStretch) -> list[str]:
        """The words of a stretch as they are read."""
        return [self.norm(at) for at in one.at]

    def role(self, at: int) -> Role | None:
        """What a word stands for."""
        return next((one.role for one in self.stretches if at in one.at), None)

    def by(self, *roles: Role) -> Iterator[LineStretch]:
        """The stretches of some roles."""
        return (one for one in self.stretches if one.role in roles)


def _words(text: str) -> list[str]:
    return [one.norm for one in tokens_of(text) if any(sign.isalnum() for sign in one.norm)]


def accounts_of(tokens: Sequence[Token], line: Line) -> Accounts:
    """What accounts for which word of a line."""
    found = Accounts(tokens)
    for one in line.said:
        if isinstance(one, Did):
            for role, text, of in _texts(one):
                found.take(role, text, of)
        else:
            found.take(Role.WHOLE, one.words, one)
    for note in line.notes:
        found.take(Role.NOTE, note)
    return found


def _texts(did: Did) -> Iterator[tuple[Role, str, object]]:
    """The words of an act, those first that stand for one thing alone."""
    if did.act.value is Act.TASK:
        yield Role.WHOLE, did.text, did
        return
    for remark in did.remarks:
        yield Role.NOTE if remark.care is Care.NOTE else Role.CARE, remark.text, remark
    yield from ((Role.JOINT, joint.said, joint) for joint in did.joints)
    before = did.before.part if did.before is not None else None
    yield from ((Role.WAY, way.words, way) for way in (*did.way_of, before) if isinstance(way, Name))
    if did.part is not None:
        yield Role.NAME, did.part.words or did.part.label, did.part
    yield from ((Role.ACT, words, did.act) for words in did.act.words.split(", "))
    for heard in (did.position, did.weight_kg, did.figure, did.before):
        if heard is not None:
            yield Role.FACT, heard.words, heard
    yield from ((Role.TOOL, joint.tool or "", joint) for joint in did.joints)
    if did.tool is not None:
        yield Role.TOOL, did.tool.words, did
    for spill in did.spills:
        yield Role.SPILL, spill.amount, spill
        yield Role.SPILL, spill.fluid.words or spill.fluid.label, spill
    if did.figure is not None:
        yield Role.FACT, did.figure.source, did.figure
