"""Single changes to a YAML text that leave every line alone that they need not touch.

Each function takes the layout of a text and returns the changed text. Whether it still says what it should is
for the caller to see (``editor``).
"""

from __future__ import annotations

import re
from typing import Any

from sequencer.errors import SequencerError
from sequencer.machine.edit.emit import STEP, WIDTH, block, comment_lines, end_comment, entry, flow, scalar
from sequencer.machine.edit.layout import Layout, LayoutNode
from sequencer.machine.reader.merge import SHORT
from sequencer.machine.reader.yaml_tree import Path


class EditError(SequencerError):
    """A change that can't be made to this text; the text stays as it was."""


_COMMA = re.compile(r"\s*,")


def put(
    layout: Layout,
    holder: Path,
    key: str,
    value: Any,  # noqa: ANN401 - as `emit.plain` makes it
    *,
    after: str | None = None,
    spread: bool = False,
) -> str:
    """A new key in the mapping at ``holder``: behind the key ``after``, or as the last."""
    node = layout.node(holder)
    if node is None:
        return put(layout, holder[:-1], str(holder[-1]), {key: value}, spread=spread)
    if node.kind == "map" and (node.flow or not node.keys):
        return _into_braces(layout, node, f"{entry(key, value)}", after)
    if node.kind == "map":
        return _into_block(layout, node, key, value, after, spread=spread)
    if node.empty:
        return _fill(layout, holder, node, key, value, spread=spread)
    return _lengthen(layout, holder, node, key, value)


def append(layout: Layout, path: Path, value: Any) -> str:  # noqa: ANN401
    """One more entry in the list at ``path``, which may be missing, or one entry without its brackets."""
    node = layout.node(path)
    if node is None:
        return put(layout, path[:-1], str(path[-1]), [value])
    if node.empty:
        return replace(layout, path, [value])
    if node.kind == "list" and not node.flow:
        return _dash(layout, node, value)
    if node.kind == "list":
        return _into_braces(layout, node, flow(value), None)
    if node.kind == "map" and not node.flow:
        return _dash_first(layout, node, value)
    old = layout.text[node.start : node.end] if node.flow else flow(node.data())
    return _splice(layout.text, node.start, node.end, f"[{old}, {flow(value)}]")


def insert(layout: Layout, path: Path, number: int, value: Any) -> str:  # noqa: ANN401
    """One more entry in the list at ``path``, before its entry ``number``, or before one without brackets."""
    node = layout.node(path)
    assert node is not None
    if node.kind == "list" and node.values:
        return (_in_front if node.flow else _dash_before)(layout, node, number, value)
    if node.kind == "map" and not node.flow:
        raise EditError("this list is written as one entry over several lines", "write it with dashes first")
    old = layout.text[node.start : node.end] if node.flow else flow(node.data())
    return _splice(layout.text, node.start, node.end, f"[{flow(value)}, {old}]")


def replace(layout: Layout, path: Path, value: Any) -> str:  # noqa: ANN401
    """Another value at ``path``, where there is one. What is said behind it in a comment stays."""
    node, key = layout.node(path), layout.key(path)
    assert node is not None
    brackets = layout.in_brackets(path)
    new = flow(value) if isinstance(value, dict | list) else scalar(value, brackets=brackets)
    text = layout.text
    if node.start == node.end:
        colon = "" if key is None or text[node.start - 1 : node.start] == ":" else ":"
        return _splice(text, node.start, node.end, f"{colon} {new}")
    lines_of_its_own = node.kind != "text" and not node.flow
    if lines_of_its_own and key is not None and layout.line_start(node.start) > key.end:
        colon_at = text.index(":", key.end) + 1
        first, last = layout.line_start(node.start), layout.next_line(node.end)
        return text[:colon_at] + f" {new}" + text[colon_at:first] + text[last:]
    return _splice(text, node.start, node.end, new + _same_column(layout, node.end, node.start + len(new)))


def remove(layout: Layout, path: Path) -> str:
    """The text without the key or entry at ``path``."""
    holder, node, key = layout.node(path[:-1]), layout.node(path), layout.key(path)
    assert holder is not None
    assert node is not None
    if holder.flow:
        return _out_of_braces(layout, holder, holder.values.index(node))
    begin = node.start if key is None else key.start
    first = layout.line_start(begin)
    before = layout.text[first:begin]
    if before.strip() not in ({"-"} if key is None else {""}):
        raise EditError("this entry shares its line with another", "take it out by hand")
    last = layout.past(node.end, layout.column(begin) - (0 if key is not None else len(before.lstrip())))
    return layout.text[:first] + layout.text[last:]


def annotate(layout: Layout, path: Path, comment: str, *, above: bool = False) -> str:
    """A comment on the value at ``path``: behind its line if there is room, else above its entry."""
    node = layout.node(path)
    assert node is not None
    short = end_comment(comment)
    begin, end = layout.line_start(node.end), layout.line_end(node.end)
    last = max((one.end for one in layout.root.every() if begin <= one.end <= end), default=begin)
    key = layout.key(path)
    over_lines = key is not None and layout.line_start(key.start) != begin and not layout.in_brackets(path)
    taken = "#" in layout.text[last:end] or node.block or over_lines
    if short is not None and not above and not taken and end - begin + len(short) <= WIDTH:
        gap = layout.text[begin:end].rstrip(" \t")
        return layout.text[: begin + len(gap)] + short + layout.text[end:]
    head = _head(layout, path)
    indent = len(layout.text[head:]) - len(layout.text[head:].lstrip(" "))
    lines = comment_lines(comment, indent)
    return _insert_lines(layout, head, lines)


def with_comment(former: str, text: str, comment: str, *, above: bool) -> str | None:
    """A changed text with a comment on the change, where its lines alone show the place; else ``None``.

    It saves a look at where everything stands. Whether the text still says the same is to be checked.
    """
    before, after = former.splitlines(keepends=True), text.splitlines(keepends=True)
    most = min(len(before), len(after))
    first = next((n for n in range(most) if before[n] != after[n]), most)
    tail = next((n for n in range(most - first) if before[-1 - n] != after[-1 - n]), most - first)
    new = after[first : len(after) - tail]
    if above:
        first += next((n for n, line in enumerate(new) if line.strip()), 0)
        line = after[first] if new else ""
        if not new or len(before) != len(after) - len(new) or not line.endswith("\n"):
            return None
        end = "\r\n" if line.endswith("\r\n") else "\n"
        lines = comment_lines(comment, len(line) - len(line.lstrip(" ")))
        return "".join((*after[:first], *(one + end for one in lines), *after[first:]))
    short = end_comment(comment)
    line = new[0].rstrip() if len(new) == 1 else "#"
    whole = sum(map(line.count, "[{")) == sum(map(line.count, "]}"))
    if short is None or "#" in line or not whole or len(line) + len(short) > WIDTH:
        return None
    return "".join((*after[:first], line, short, new[0][len(line) :].lstrip(" \t"), *after[first + 1 :]))


def _head(layout: Layout, path: Path) -> int:
    """Where the line begins that the innermost entry around ``path`` begins, on a line that is its own."""
    for length in range(len(path), 0, -1):
        if layout.in_brackets(path[:length]):
            continue
        node = layout.key(path[:length]) or layout.node(path[:length])
        if node is not None:
            return layout.line_start(node.start)
    return layout.line_start(layout.root.start)


def _splice(text: str, start: int, end: int, new: str) -> str:
    return text[:start] + new + text[end:]


def _same_column(layout: Layout, old_end: int, new_end: int) -> str:
    """Blanks that keep the comment behind a value where it is, as far as they can."""
    rest = layout.text[old_end : layout.line_end(old_end)]
    blanks = len(rest) - len(rest.lstrip(" "))
    if not rest.lstrip(" ").startswith("#"):
        return ""
    # What is left of the old blanks stays behind the new value; only the difference can be added here.
    return " " * max(0, old_end - new_end) if blanks else ""


def _insert_lines(layout: Layout, index: int, lines: list[str]) -> str:
    """Whole lines before the one at ``index``; a file without a last line break gets none."""
    text, newline = layout.text, layout.newline
    joined = newline.join(lines)
    if index == len(text) and text and not text.endswith("\n"):
        return text + newline + joined
    return text[:index] + joined + newline + text[index:]


def _into_block(
    layout: Layout,
    node: LayoutNode,
    key: str,
    value: Any,  # noqa: ANN401
    after: str | None,
    *,
    spread: bool,
) -> str:
    column = layout.column(node.keys[0].start)
    number = len(node.keys) - 1 if after is None else node.index(after)
    assert number is not None
    lines = block(key, value, column, spread=spread)
    apart = spread and len(node.keys) > 1 and blank_above(layout, node.keys[-1])
    end = max(node.values[number].end, node.keys[number].end)
    return _insert_lines(layout, layout.past(end, column), ["", *lines] if apart else lines)


def blank_above(layout: Layout, key: LayoutNode) -> bool:
    """Whether a blank line stands above an entry, or above the comment above it."""
    start = layout.line_start(key.start)
    while start > 0:
        above = layout.line_start(start - 1)
        line = layout.text[above:start].strip()
        if not line.startswith("#"):
            return not line
        start = above
    return False


def _fill(layout: Layout, path: Path, node: LayoutNode, key: str, value: Any, *, spread: bool) -> str:  # noqa: ANN401
    """The first key under one that had nothing after it."""
    above = layout.key(path)
    if not path and not node.end - node.start:
        return _insert_lines(layout, len(layout.text), block(key, value, 0, spread=spread))
    if above is None or layout.in_brackets(path) or node.start != node.end:
        return replace(layout, path, {key: value})
    column = layout.column(above.start)
    lines = block(key, value, column + STEP, spread=spread)
    return _insert_lines(layout, layout.past(above.end, column), lines)


def _lengthen(layout: Layout, path: Path, node: LayoutNode, key: str, value: Any) -> str:  # noqa: ANN401
    """A key beside a value written short: ``crack: [belt]`` becomes ``crack: {while: [belt], …}``."""
    name = SHORT.get(str(path[-1]))
    if name is None or (node.kind == "list" and not node.flow) or node.block:
        raise EditError(f"`{path[-1]}` has no keys under it here", "write it out by hand first")
    if name == "value" and node.kind == "list":
        name = "stages"
    old = layout.text[node.start : node.end] if node.flow else flow(node.data())
    states = name == "joints" and (node.text or "").casefold() in ("yes", "true")
    pieces = [entry(key, value)] if states else [f"{name}: {old}", entry(key, value)]
    return _splice(layout.text, node.start, node.end, "{" + ", ".join(pieces) + "}")


def _into_braces(layout: Layout, node: LayoutNode, new: str, after: str | None) -> str:
    """An entry into brackets; on a line of its own where that line would get too long."""
    text = layout.text
    if not node.values:
        return _splice(text, node.start + 1, node.end - 1, new)
    number = len(node.values) - 1 if after is None else node.index(after)
    assert number is not None
    at = node.values[number].end
    first = (node.keys or node.values)[0].start
    gap = " " if text[at - 1] == ":" else ""
    line = layout.line_end(at) - layout.line_start(at)
    comment = "#" in text[at : layout.line_end(at)]
    short = line + len(new) + 2 <= WIDTH or (comment and layout.column(at) + len(new) < WIDTH)
    joint = ", " if short else f",{layout.newline}{' ' * layout.column(first)}"
    return _splice(text, at, at, f"{gap}{joint}{new}")


def _in_front(layout: Layout, node: LayoutNode, number: int, value: Any) -> str:  # noqa: ANN401
    """An entry into brackets before another; that goes on a line of its own where there is no room."""
    new, at = flow(value), node.values[number].start
    short = layout.line_end(at) - layout.line_start(at) + len(new) + 2 <= WIDTH
    gap = " " if short else f"{layout.newline}{' ' * layout.column(node.values[0].start)}"
    return _splice(layout.text, at, at, f"{new},{gap}")


def _out_of_braces(layout: Layout, holder: LayoutNode, number: int) -> str:
    text = layout.text
    starts = [one.start for one in (holder.keys or holder.values)]
    ends = [max(one.end, start) for one, start in zip(holder.values, starts, strict=True)]
    start, end = starts[number], ends[number]
    if number > 0 and "\n" not in text[ends[number - 1] : start]:
        return _splice(text, ends[number - 1], end, "")
    if number + 1 < len(starts) and "\n" not in text[end : starts[number + 1]]:
        return _splice(text, start, starts[number + 1], "")
    trailing = _COMMA.match(text, end)
    comma = trailing.end() if trailing and (number + 1 < len(starts) or number == 0) else end
    if number > 0 and not text[comma : layout.line_end(comma)].strip():
        # It had a line to itself: the line goes, and the comma above it may stay.
        return text[: layout.line_start(start)] + text[layout.next_line(comma) :]
    if number > 0 and number + 1 == len(starts) and "#" not in text[ends[number - 1] : start]:
        return _splice(text, ends[number - 1], end, "")
    return _splice(text, start, comma, "")


def _dash(layout: Layout, node: LayoutNode, value: Any) -> str:  # noqa: ANN401
    """One more entry under those of a list with dashes."""
    first = node.values[0]
    dash = layout.text.rindex("-", 0, first.start + 1 if first.start == first.end else first.start)
    column = layout.column(dash)
    gap = " " * (layout.column(first.start) - column - 1) if first.start > dash + 1 else " "
    item = flow(value) if isinstance(value, dict | list) else scalar(value, brackets=value is None)
    return _insert_lines(layout, layout.past(node.values[-1].end, column), [f"{' ' * column}-{gap}{item}"])


def _dash_before(layout: Layout, node: LayoutNode, number: int, value: Any) -> str:  # noqa: ANN401
    """An entry above one of those of a list with dashes, and above the comments of that."""
    text, one = layout.text, node.values[number]
    dash = text.rindex("-", 0, one.start + 1 if one.start == one.end else one.start)
    start, column = layout.line_start(dash), layout.column(dash)
    if text[start:dash].strip():
        raise EditError("this entry shares its line with another", "write it on a line of its own first")
    while number and start > 0:
        above = layout.line_start(start - 1)
        if not text[above:start].startswith(f"{' ' * column}#"):
            break
        start = above
    item = flow(value) if isinstance(value, dict | list) else scalar(value, brackets=value is None)
    return _insert_lines(layout, start, [f"{' ' * column}- {item}"])


def _dash_first(layout: Layout, node: LayoutNode, value: Any) -> str:  # noqa: ANN401
    """A single mapping on lines of its own becomes the first of a list with dashes."""
    column = layout.column(node.start)
    first, end = layout.line_start(node.start), layout.line_end(node.end)
    if layout.text[first : node.start].strip():
        raise EditError("this entry shares its line with another", "write it out by hand first")
    body = layout.text[first:end].split("\n")
    pad = " " * column
    moved = [f"{pad}- {body[0][column:]}", *(f"  {line}" if line.strip() else line for line in body[1:])]
    item = flow(value) if isinstance(value, dict | list) else scalar(value, brackets=False)
    text = layout.text[:first] + "\n".join(moved) + layout.text[end:]
    there = first + len("\n".join(moved))
    return text[:there] + f"{layout.newline}{pad}- {item}" + text[there:]
