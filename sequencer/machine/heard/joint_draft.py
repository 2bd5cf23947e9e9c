"""A joint while it is read out of a clause."""

from __future__ import annotations

from dataclasses import dataclass, field

from sequencer.machine.heard.lexemes import Is, KindSaid, Lexeme
from sequencer.machine.trade.heads import HeadFamily, SaidHead, tool_for, usual_size
from sequencer.quantities import TorqueQuantity


@dataclass
class JointDraft:
    """A joint while it is read."""

    start: int = -1
    end: int = -1
    kind: KindSaid | None = None
    count: int | None = None
    leading: str | None = None  # a number that may be count or size
    vague: bool = False
    unsaid: bool = False  # the count is that of an article
    head: SaidHead | None = None
    family: HeadFamily | None = None
    hand: bool = False
    tool: str | None = None
    thread: str | None = None
    length: int | None = None
    grade: str | None = None
    torque: TorqueQuantity | None = None
    many: bool = False
    label: list[str] = field(default_factory=list)

    @property
    def begun(self) -> bool:
        """Something of it was said."""
        return self.start >= 0

    @property
    def numbered(self) -> bool:
        """A number was said that counts it, or may."""
        return self.count is not None or self.leading is not None

    @property
    def sized(self) -> bool:
        """Its head was said, or that it needs no tool."""
        return self.head is not None or self.hand

    @property
    def whole(self) -> bool:
        """It says enough to be a joint by itself."""
        counted = self.count is not None or self.vague
        return self.kind is not None or (
            counted and (self.sized or self.family is not None or self.thread is not None)
        )

    @property
    def only_a_tool(self) -> bool:
        """An M16 puller holds nothing."""
        held = self.kind is not None or self.count is not None or self.sized or self.vague
        return self.tool is not None and self.thread is not None and not held

    @property
    def has_size(self) -> bool:
        """A head with a size says a joint by itself, 13 mm; slotted may be anything."""
        return self.head is not None and any(sign.isdigit() for sign in self.head.written)

    def head_of(self, text: str, size: str, one: Lexeme) -> SaidHead:
        """A bare size as a head: of the sort that was said before it, else across the flats."""
        if self.family is None:
            return SaidHead(text, size, tool_for(size), one.start, one.end, usual_size(size))
        written = self.family.sized(size)
        return SaidHead(text, written or size, tool_for(written) if written else None, one.start, one.end)

    def takes(self, one: Lexeme) -> None:
        """The stretch belongs to it."""
        self.start = one.start if self.start < 0 else self.start
        self.end = one.end

    def threaded(self, one: Lexeme) -> None:
        """A thread, with the length or pitch that was said with it."""
        match = one.value
        if match.re.groups == 1:
            self.thread = match[1].upper()
        else:
            self.thread, self.length = thread_and_length(match[1], match[2])
        self.takes(one)

    def fact(self, one: Lexeme) -> None:
        """A length, class, torque or tool, or that it needs none."""
        if one.sort is Is.LENGTH:
            self.length = int(float(one.value[1] or one.value[2]))
        elif one.sort is Is.CLASS:
            self.grade = one.value[1]
        elif one.sort is Is.TORQUE:
            self.torque = one.value
        elif one.sort is Is.TOOL:
            self.tool = one.value
        else:
            self.hand = True
        self.takes(one)


def thread_and_length(size: str, by: str | None) -> tuple[str, int | None]:
    """``M8`` and its length or pitch: a number beyond any pitch is the length."""
    if by is None or float(by) >= 5:
        return f"M{size}", int(float(by)) if by else None
    return f"M{size}x{by}", None
