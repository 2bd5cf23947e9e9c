"""A text that stands for several, written out for each, so that one of them can be changed by itself."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from sequencer.machine.edit.changes import blank_above
from sequencer.machine.edit.emit import NOTHING, scalar
from sequencer.machine.edit.layout import Layout, Node
from sequencer.machine.faults import Faults
from sequencer.machine.marks import MARK, REPEAT, Bound, Marks, filled
from sequencer.machine.repeat import Written, write_out
from sequencer.machine.yaml_tree import Path, compose

_HARMLESS = re.compile(r"\w[\w ./+-]*")
"""What means the same within a text, in quotes or not, in brackets or not."""


def meaning(layout: Layout, name: str) -> Written | None:
    """What a text says with everything written out; ``None`` where it says it so already, or has faults."""
    if layout.node((REPEAT,)) is None:
        return None
    faults = Faults()
    written = write_out(compose(layout.text, name, faults), faults)
    return None if faults.fatal else written


def lookup(data: Any, path: Path) -> tuple[bool, Any]:  # noqa: ANN401 - whatever is there
    """Whether there is something at ``path``, and what."""
    for step in path:
        steps = range(len(data)) if isinstance(data, list) else data if isinstance(data, dict) else ()
        if step not in steps:
            return False, None
        data = data[step]
    return True, data


def apart(layout: Layout, source: Path, values: Sequence[Bound], marks: Marks) -> str:
    """The text with the entry at ``source`` once for each of ``values``, its comments with it."""
    key, node = layout.key(source), layout.node(source)
    assert key is not None
    assert node is not None
    start, end, between = key.start, max(key.end, node.end), ", "
    if not layout.in_brackets(source):
        start, end = layout.line_start(start), layout.past(end, layout.column(start))
        between = layout.newline if blank_above(layout, key) else ""
    text = layout.text
    open_end = not text[start:end].endswith("\n") and between != ", "
    nodes = [one for one in (key, *node.every()) if one.kind == "text" and MARK.search(one.text or "")]
    copies = [_copy(layout, start, end, nodes, bound, marks) for bound in values]
    if open_end:
        between += layout.newline
    return text[:start] + between.join(copies) + text[end:]


def _copy(layout: Layout, start: int, end: int, nodes: list[Node], bound: Bound, marks: Marks) -> str:
    pieces, at = [], start
    for node in sorted(nodes, key=lambda one: one.start):
        pieces += [filled(layout.text[at : node.start], bound, marks), _text(layout, node, bound, marks)]
        at = node.end
    return "".join((*pieces, filled(layout.text[at:end], bound, marks)))


def _text(layout: Layout, node: Node, bound: Bound, marks: Marks) -> str:
    """One text with its values; in quotes where a value would mean something else without."""
    said = node.text or ""
    new = filled(said, bound, marks)
    values = (filled(found[0], bound, marks) for found in MARK.finditer(said))
    plain = new not in NOTHING and all(_HARMLESS.fullmatch(one) or MARK.fullmatch(one) for one in values)
    if plain or node.block:
        return filled(layout.text[node.start : node.end], bound, marks)
    return scalar(new, brackets=True)
