"""The dependency diagram for a helper: what blocks what, to which state, and in which order it goes.

One box for each part at each position where something of it is undone; boxes stand together by position.
An arrow runs from what has to move to what it is in the way of. Told apart without colour: a part that comes
off has a solid frame, one that is only moved a dashed frame with its state in words, what stays fitted a
thin grey one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from html import escape

from sequencer.graph.operations import REACHES, Kind
from sequencer.machine.model import Atom, Joint, Machine, Need, Part, State
from sequencer.plan.plan import Teardown
from sequencer.views.words import name_of, part_words

FONT = "Helvetica"
"""A font whose widths every drawing program knows, so that no label is cut."""
FAINT = "#8a8a8a"
JOINT_KINDS = (Kind.UNDO, Kind.SLACKEN, Kind.CRACK)
LARGE, SMALL = 12, 12
"""Points of the part's and the joints' lines, before the drawing is fitted to its sheet."""

WRAP = 16
"""Characters after which a label goes on in a new line."""


@dataclass
class Box:
    """A part at one position: its joints there, and whether the part itself is moved there."""

    part: Part
    position: str
    joints: list[Joint] = field(default_factory=list)
    home: bool = False


def diagram(machine: Machine, plan: Teardown | None = None, only: Iterable[str] | None = None) -> str:
    """The diagram as DOT text.

    With a plan, its step numbers stand in the boxes and what it leaves fitted is faded; without one the whole
    machine is drawn. ``only`` keeps the named parts alone (a chain that explains one of them).
    """
    import graphviz

    kept = set(machine.parts) if only is None else set(only)
    drawing = _Drawing(machine, plan, kept)
    graph = graphviz.Digraph("machine")
    graph.attr(
        "graph",
        rankdir="LR",
        newrank="true",
        fontname=FONT,
        fontsize="14",
        size="11.3,7.9",
        nodesep=".02",
        ranksep=".05",
        labelloc="t",
        labeljust="l",
        label=drawing.title(),
        margin="0.1",
    )
    graph.attr("node", fontname=FONT, fontsize="12", shape="plain")
    graph.attr("edge", fontname=FONT, fontsize="12", arrowsize="0.55", color="#303030")
    staying = drawing.staying()
    for position, boxes in drawing.by_position().items():
        with graph.subgraph(name=f"cluster_{position}") as cluster:
            cluster.attr(
                label=machine.positions[position].label, style="rounded", color="#606060", fontsize="13"
            )
            for box in boxes:
                cluster.node(_key(box.part.name, box.position), label=f"<{drawing.table(box)}>")
            if position in staying:
                cluster.node(f"stays@{position}", label=f"<{_staying_table(staying[position])}>")
    for arrow in drawing.arrows():
        graph.edge(arrow.tail, arrow.head, **arrow.looks)
    return str(graph.source)


@dataclass(frozen=True)
class Arrow:
    """From what has to move to what it is in the way of."""

    tail: str
    head: str
    looks: Mapping[str, str]


class _Drawing:
    """Decides what is drawn and how; the DOT writing is left to ``diagram``."""

    def __init__(self, machine: Machine, plan: Teardown | None, kept: set[str]) -> None:
        self.machine = machine
        self.plan = plan
        self.kept = kept
        self.steps: dict[str, int] = {}
        self.reached: dict[str, State] = {}
        if plan is not None:
            self.steps = {step.operation.name: step.number for step in plan.steps}
            for operation in plan.operations:
                if operation.kind in REACHES and operation.part:
                    self.reached[operation.part] = REACHES[operation.kind]
        self.other_ways = self._other_ways()
        self.boxes = self._boxes()

    def title(self) -> str:
        if self.plan is None:
            return f"{self.machine.name}: what is in the way of what"
        aims = ", ".join(str(target) for target in self.plan.targets)
        return f"{self.machine.name}: {aims}. Numbers are the steps of the plan."

    def _boxes(self) -> dict[str, dict[str, Box]]:
        """Boxes by part and position, in the order of the file."""
        boxes: dict[str, dict[str, Box]] = {}
        for part in self.machine.parts.values():
            if part.name not in self.kept:
                continue
            if self._stays(part.name):
                continue
            mine = boxes.setdefault(part.name, {})
            home = Box(part, part.position, home=True)
            mine[part.position] = home
            for joint in part.joints.values():
                if self._shown(joint):
                    mine.setdefault(joint.position, Box(part, joint.position)).joints.append(joint)
            if self.plan is not None and part.name not in self.reached and not home.joints and len(mine) > 1:
                del mine[part.position]
        return boxes

    def _shown(self, joint: Joint) -> bool:
        """Joints that a plan leaves alone would only crowd the page."""
        return self.plan is None or any(f"{kind.value} {joint.path}" in self.steps for kind in JOINT_KINDS)

    def touched(self, part: str) -> bool:
        """Whether the plan moves the part or undoes any of its joints; without a plan everything counts."""
        return (
            self.plan is None
            or part in self.reached
            or any(operation.part == part for operation in self.plan.operations)
        )

    def by_position(self) -> dict[str, list[Box]]:
        found: dict[str, list[Box]] = {name: [] for name in self.machine.positions}
        for mine in self.boxes.values():
            for box in mine.values():
                found[box.position].append(box)
        staying = self.staying()
        return {name: boxes for name, boxes in found.items() if boxes or name in staying}

    def table(self, box: Box) -> str:
        """The box as an HTML-like table: the part on top, a line for each joint."""
        faded = not self.touched(box.part.name)
        colour = FAINT if faded else "#000000"
        state = self.reached.get(box.part.name)
        dashed = state in (State.LOOSE, State.ASIDE)
        style = ' style="dashed"' if dashed else ""
        border = "1" if faded or not box.home else "2" if self._is_target(box.part.name) else "1"
        rows = [self._head(box, state, colour)]
        rows += [self._row(joint, colour) for joint in box.joints]
        return (
            f'<table border="{border}" cellborder="0" cellspacing="0" cellpadding="0" '
            f'color="{colour}"{style}>'
            f"{''.join(rows)}</table>"
        )

    def _is_target(self, part: str) -> bool:
        return self.plan is not None and any(target.part == part for target in self.plan.targets)

    def _head(self, box: Box, state: State | None, colour: str) -> str:
        words = _broken(_wrapped(part_words(self.machine, box.part.name)))
        if not box.home:
            return f"<tr>{_cell(f'<i>{words}</i>', colour, span=2)}</tr>"
        if state is not None and state is not State.OFF:
            words += f" ({state.word})"
        weight = f"<b>{words}</b>" if state is not None or self.plan is None else words
        number = f"<b>{self._moved_at(box.part.name, state)}</b>" if state is not None else ""
        return f"<tr>{_cell(number, colour, 'right')}{_cell(weight, colour)}</tr>"

    def _moved_at(self, part: str, state: State) -> str:
        word = next(kind.value for kind, reached in REACHES.items() if reached is state)
        return str(self.steps[f"{word} {part}"])

    def _row(self, joint: Joint, colour: str) -> str:
        numbers = [
            (f"{letter}{self.steps[name]}")
            for kind, letter in ((Kind.CRACK, "c"), (Kind.SLACKEN, "s"), (Kind.UNDO, ""))
            if (name := f"{kind.value} {joint.path}") in self.steps
        ]
        count = f"{joint.count} × " if joint.count > 1 else ""
        size = f" {joint.head}" if joint.head else ""
        lines = _wrapped(f"{count}{name_of(joint.name, joint.label)}{size}")
        words = _broken(lines)
        return (
            f"<tr>{_cell(' '.join(numbers), colour, 'right', size=SMALL)}"
            f"{_cell(words, colour, size=SMALL, port=_port(joint.name))}</tr>"
        )

    def arrows(self) -> list[Arrow]:
        found: dict[tuple[str, str], Arrow] = {}
        for part in self.machine.parts.values():
            if part.name not in self.boxes:
                continue
            home = self._home(part.name)
            for need in part.behind:
                self._arrow(found, need, home, part.name, {})
            for need in part.trapped_by:
                self._arrow(found, need, home, part.name, {"arrowhead": "tee"})
            for joint in part.joints.values():
                if self._shown(joint):
                    for need in joint.behind:
                        self._arrow(found, need, _key(part.name, joint.position), part.name, {})
            for box in self.boxes[part.name].values():
                key = _key(part.name, box.position)
                if key != home:
                    looks = {"style": "dotted", "arrowhead": "none"}
                    found.setdefault((key, home), Arrow(key, home, looks))
        return list(found.values())

    def _arrow(
        self,
        found: dict[tuple[str, str], Arrow],
        need: Need,
        head: str,
        blocked: str,
        looks: Mapping[str, str],
    ) -> None:
        for atom in need.any_of:
            if atom.part not in self.boxes or atom.part == blocked:
                continue
            style = dict(looks)
            if len(need.any_of) > 1:
                style["style"] = "dashed"
            if not (self.touched(atom.part) and self.touched(blocked)):
                style["color"] = FAINT
                style["fontcolor"] = FAINT
            if atom.state is not State.OFF and self.reached.get(atom.part) is not atom.state:
                style["label"] = atom.state.word
            tail = self._tail(atom)
            found.setdefault((tail, head), Arrow(tail, head, style))

    def _tail(self, atom: Atom) -> str:
        """Where an arrow starts: at the part's own box, or at the line of the joint that is meant."""
        boxes = self.boxes[atom.part]
        for position, box in boxes.items():
            for joint in box.joints:
                if joint.name == atom.joint:
                    return f"{_key(atom.part, position)}:{_port(joint.name)}"
        return self._home(atom.part)

    def _home(self, part: str) -> str:
        """The box that stands for the part itself: at its own position, if there is one."""
        boxes = self.boxes[part]
        position = self.machine.parts[part].position
        return _key(part, position if position in boxes else next(iter(boxes)))

    def _stays(self, part: str) -> bool:
        """Whether a part stays fitted and is no other way in either: named in a list, not drawn."""
        return not self.touched(part) and part not in self.other_ways

    def _other_ways(self) -> set[str]:
        """The untouched parts that an alternative of a touched one names."""
        needs = (
            need
            for part in self.machine.parts.values()
            if self.touched(part.name)
            for need in (*part.behind, *part.trapped_by, *(n for j in part.joints.values() for n in j.behind))
        )
        return {atom.part for need in needs if len(need.any_of) > 1 for atom in need.any_of}

    def staying(self) -> dict[str, list[str]]:
        """The parts that stay fitted and are not drawn, in words, by position."""
        found: dict[str, list[str]] = {}
        for part in self.machine.parts.values():
            if part.name in self.kept and part.name not in self.boxes:
                found.setdefault(part.position, []).append(part_words(self.machine, part.name))
        return found


def _cell(
    words: str, colour: str, align: str = "left", *, size: int = LARGE, span: int = 1, port: str = ""
) -> str:
    """One cell of a box; DOT refuses a font around nothing."""
    inner = f'<font point-size="{size}" color="{colour}">{words}</font>' if words else ""
    named = f' port="{port}"' if port else ""
    return f'<td align="{align}" colspan="{span}"{named}>{inner}</td>'


def _key(part: str, position: str) -> str:
    """A node name that no port syntax of DOT can misread."""
    return f"{part}@{position}".replace(":", "_").replace("\\", "_")


def _staying_table(names: Iterable[str]) -> str:
    """What stays fitted at a position: one faded list, so that the page keeps its room for the work."""
    rows = [f"<tr>{_cell('<i>stays fitted</i>', FAINT, size=SMALL)}</tr>"]
    rows += [f"<tr>{_cell(_broken(_wrapped(name)), FAINT, size=SMALL)}</tr>" for name in names]
    return f'<table border="0" cellborder="0" cellspacing="0" cellpadding="0">{"".join(rows)}</table>'


def _port(joint: str) -> str:
    """The name of a joint's line within its box."""
    return "j" + joint.encode().hex()


def _broken(lines: Iterable[str]) -> str:
    """Lines under one another, left-aligned, as HTML-like text."""
    lines = [escape(line) for line in lines]
    return '<br align="left"/>'.join(lines) + ('<br align="left"/>' if len(lines) > 1 else "")


def _wrapped(words: str) -> list[str]:
    lines = [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > WRAP:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines
