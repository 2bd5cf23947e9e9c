"""Where each value of a YAML text begins and ends, so that a change can touch it and nothing else.

The reader (``yaml_tree``) says what a file means and where each thing begins. An editor also needs the ends,
and whether a thing is written on lines of its own or in brackets. Both read the same; a test sees to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from ruamel.yaml.events import (
    AliasEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from sequencer.machine.reader.yaml_tree import Path, events_of

_COLON = re.compile(r"[ \t]*:")
_DASH = re.compile(r"^[ \-]*-(?=\s|$)", re.MULTILINE)
_NOTHING = ("", "~", "null", "Null", "NULL")


@dataclass
class LayoutNode:
    """A value in the text.

    Attributes:
        kind: ``map``, ``list`` or ``text``; nothing at all is a text, too.
        start: Index of its first character.
        end: Index after its last one, comments and blank lines behind it left out.
        flow: It is a mapping or list in brackets.
        text: What a text says; ``None`` for nothing.
        block: It is a text on lines of its own, after ``|`` or ``>``.
        keys: The keys of a mapping.
        values: The values of a mapping, or the entries of a list.
    """

    kind: Literal["map", "list", "text"]
    start: int
    end: int
    flow: bool = False
    text: str | None = None
    block: bool = False
    keys: list[LayoutNode] = field(default_factory=list)
    values: list[LayoutNode] = field(default_factory=list)

    def index(self, step: str | int) -> int | None:
        """Where a key or entry stands among ``values``; ``None`` where it is missing."""
        if self.kind == "map":
            names = [key.text or "" for key in self.keys]
            return names.index(step) if step in names else None
        return step if isinstance(step, int) and self.kind == "list" and step < len(self.values) else None

    @property
    def empty(self) -> bool:
        """There is nothing: no value after a colon, ``~`` or ``null``."""
        return self.kind == "text" and self.text is None

    def data(self) -> Any:  # noqa: ANN401 - whatever the file has there
        """What it says, as the reader has it."""
        if self.kind == "map":
            pairs = zip(self.keys, self.values, strict=True)
            return {key.text or "": value.data() for key, value in pairs}
        return [value.data() for value in self.values] if self.kind == "list" else self.text

    def every(self) -> Iterator[LayoutNode]:
        """It and all that is in it."""
        yield self
        for below in (*self.keys, *self.values):
            yield from below.every()


class Layout:
    """A text and the places of all its values; a text that the reader takes without a fault of syntax."""

    def __init__(self, text: str) -> None:
        self.text = text
        self._events = events_of(text)
        self.root = next(
            (self._node(event) for event in self._events if _begins(event)),
            LayoutNode("text", len(text), len(text)),
        )

    def _node(self, event: Any) -> LayoutNode:  # noqa: ANN401 - the parser's events have no types
        start = event.start_mark.index
        if isinstance(event, ScalarEvent):
            text = None if not event.style and event.value in _NOTHING else event.value
            block = event.style in ("|", ">")
            return LayoutNode(
                "text", start, self._end(event) if block else event.end_mark.index, False, text, block
            )
        node = LayoutNode("map" if isinstance(event, MappingStartEvent) else "list", start, start)
        node.flow = bool(event.flow_style)
        while not isinstance(event := next(self._events), MappingEndEvent | SequenceEndEvent):
            if node.kind == "map":
                node.keys.append(self._key(event))
                event = next(self._events)
            node.values.append(self._node(event))
            if node.values[-1].start == node.values[-1].end and not node.values[-1].text:
                self._place_nothing(node)
        # To the parser a block ends where the next thing begins, after all blank lines and comments.
        node.end = event.end_mark.index if node.flow else max(start, *(one.end for one in node.values))
        return node

    def _place_nothing(self, holder: LayoutNode) -> None:
        """The parser puts what is not there behind later comments; it belongs behind its colon or dash."""
        nothing = holder.values[-1]
        if holder.kind == "map":
            after = holder.keys[-1].end
            colon = _COLON.match(self.text, after)
            nothing.start = nothing.end = colon.end() if colon else after
        elif not holder.flow:
            after = holder.values[-2].end if len(holder.values) > 1 else self.line_start(holder.start)
            dash = _DASH.search(self.text, after)
            assert dash is not None
            nothing.start = nothing.end = dash.end()

    def _key(self, event: Any) -> LayoutNode:  # noqa: ANN401
        key = self._node(event)
        if key.text is None:
            key.text = event.value
        return key

    def _end(self, event: Event) -> int:
        """The end of a text after ``|`` or ``>``; one that keeps its blank lines (``|+``) has them in it."""
        start, end = event.start_mark.index, event.end_mark.index
        written: str = self.text[start:end]
        header = written.split("\n", 1)[0].partition("#")[0]
        kept = written.removesuffix("\n").removesuffix("\r") if "+" in header else written.rstrip()
        return int(start + len(kept))

    def node(self, path: Path) -> LayoutNode | None:
        """The value at ``path``; ``None`` where there is none."""
        node = self.root
        for step in path:
            number = node.index(step)
            if number is None:
                return None
            node = node.values[number]
        return node

    def key(self, path: Path) -> LayoutNode | None:
        """The key of the value at ``path``; ``None`` for an entry of a list and for the whole file."""
        holder = self.node(path[:-1]) if path else None
        if holder is None or holder.kind != "map":
            return None
        number = holder.index(path[-1])
        return None if number is None else holder.keys[number]

    def in_brackets(self, path: Path) -> bool:
        """Whether the value at ``path`` stands inside brackets."""
        above = (self.node(path[:length]) for length in range(len(path)))
        return any(node is not None and node.flow for node in above)

    # ---- Lines ----

    @property
    def newline(self) -> str:
        """How the file ends its lines."""
        first = self.text.find("\n")
        return "\r\n" if first > 0 and self.text[first - 1] == "\r" else "\n"

    def line_start(self, index: int) -> int:
        """The first index of the line with ``index``."""
        return self.text.rfind("\n", 0, index) + 1

    def line_end(self, index: int) -> int:
        """The index of that line's end, its line break left out."""
        end = self.text.find("\n", index)
        end = len(self.text) if end < 0 else end
        return end - 1 if end > index and self.text[end - 1] == "\r" else end

    def next_line(self, index: int) -> int:
        """The first index of the line after it."""
        end = self.text.find("\n", index)
        return len(self.text) if end < 0 else end + 1

    def column(self, index: int) -> int:
        """How many characters stand before ``index`` in its line."""
        return index - self.line_start(index)

    def past(self, end: int, column: int) -> int:
        """The first index after an entry that ends at ``end``, and after comments deeper than ``column``."""
        here = found = self.next_line(end)
        while here < len(self.text):
            line = self.text[here : self.line_end(here)]
            words = line.lstrip(" ")
            if words.strip() and not (words.startswith("#") and len(line) - len(words) > column):
                break
            here = self.next_line(here)
            if words.strip():
                found = here
        return found


def _begins(event: Event) -> bool:
    return isinstance(event, ScalarEvent | AliasEvent | MappingStartEvent | SequenceStartEvent)
