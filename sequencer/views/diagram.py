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

FONT = "Helvetica,Arial,sans-serif"
FAINT = "#8a8a8a"
JOINT_KINDS = (Kind.UNDO, Kind.SLACKEN, Kind.CRACK)
WRAP = 24
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
        fontsize="11",
        nodesep="0.09",
        ranksep="0.35",
        labelloc="t",
        labeljust="l",
        label=drawing.title(),
        margin="0.1",
    )
    graph.attr("node", fontname=FONT, fontsize="8", shape="plain")
    graph.attr("edge", fontname=FONT, fontsize="7", arrowsize="0.55", color="#303030")
    for position, boxes in drawing.by_position().items():
        with graph.subgraph(name=f"cluster_{position}") as cluster:
            cluster.attr(
                label=machine.positions[position].label, style="rounded", color="#606060", fontsize="10"
            )
            for box in boxes:
                cluster.node(_key(box.part.name, box.position), label=f"<{drawing.table(box)}>")
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
            mine = boxes.setdefault(part.name, {})
            mine[part.position] = Box(part, part.position, home=True)
            for joint in part.joints.values():
                if self._shown(joint):
                    mine.setdefault(joint.position, Box(part, joint.position)).joints.append(joint)
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
        return {name: boxes for name, boxes in found.items() if boxes}

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
            f'<table border="{border}" cellborder="0" cellspacing="0" cellpadding="1" '
            f'color="{colour}"{style}>'
            f"{''.join(rows)}</table>"
        )

    def _is_target(self, part: str) -> bool:
        return self.plan is not None and any(target.part == part for target in self.plan.targets)

    def _head(self, box: Box, state: State | None, colour: str) -> str:
        lines = [escape(line) for line in _wrapped(part_words(self.machine, box.part.name))]
        words = "<br/>".join(lines)
        number = self._moved_at(box.part.name, state) if box.home else ""
        if not box.home:
            return f'<tr><td colspan="2" align="left"><font color="{colour}"><i>{words}</i></font></td></tr>'
        if state is not None and state is not State.OFF:
            words += f" ({state.word})"
        weight = f"<b>{words}</b>" if state is not None or self.plan is None else words
        return (
            f'<tr><td align="right"><font color="{colour}"><b>{number}</b></font></td>'
            f'<td align="left"><font color="{colour}">{weight}</font></td></tr>'
        )

    def _moved_at(self, part: str, state: State | None) -> str:
        if state is None:
            return ""
        word = next(kind.value for kind, reached in REACHES.items() if reached is state)
        return str(self.steps[f"{word} {part}"])

    def _row(self, joint: Joint, colour: str) -> str:
        numbers = [
            (f"{letter}{self.steps[name]}")
            for kind, letter in ((Kind.CRACK, "c"), (Kind.SLACKEN, "s"), (Kind.UNDO, ""))
            if (name := f"{kind.value} {joint.path}") in self.steps
        ]
        count = f"{joint.count} × " if joint.count > 1 else ""
        size = f" {escape(joint.head)}" if joint.head else ""
        words = f"{count}{escape(name_of(joint.name, joint.label))}{size}"
        return (
            f'<tr><td align="right"><font point-size="7" color="{colour}">{" ".join(numbers)}</font></td>'
            f'<td align="left"><font point-size="7" color="{colour}">{words}</font></td></tr>'
        )

    def arrows(self) -> list[Arrow]:
        found: dict[tuple[str, str], Arrow] = {}
        for part in self.machine.parts.values():
            if part.name not in self.kept:
                continue
            home = _key(part.name, part.position)
            for need in part.behind:
                self._arrow(found, need, home, part.name, {})
            for need in part.trapped_by:
                self._arrow(found, need, home, part.name, {"arrowhead": "tee"})
            for joint in part.joints.values():
                if self._shown(joint):
                    for need in joint.behind:
                        self._arrow(found, need, _key(part.name, joint.position), part.name, {})
            for box in self.boxes[part.name].values():
                if not box.home:
                    key = _key(part.name, box.position)
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
            label = _atom_words(self.machine, atom)
            if len(need.any_of) > 1:
                style["style"] = "dashed"
                label = f"or {label}" if label else "or"
            if not (self.touched(atom.part) and self.touched(blocked)):
                style["color"] = FAINT
                style["fontcolor"] = FAINT
            if label:
                style["label"] = label
            position = self.machine.parts[atom.part].position
            if atom.joint is not None:
                at = self.machine.joint(atom.part, atom.joint).position
                position = at if at in self.boxes[atom.part] else position
            tail = _key(atom.part, position)
            found.setdefault((tail, head), Arrow(tail, head, style))


def _key(part: str, position: str) -> str:
    """A node name that no port syntax of DOT can misread."""
    return f"{part}@{position}".replace(":", "_").replace("\\", "_")


def _atom_words(machine: Machine, atom: Atom) -> str:
    if atom.joint is not None:
        return f"once {name_of(atom.joint, machine.joint(atom.part, atom.joint).label)} is undone"
    return "" if atom.state is State.OFF else atom.state.word


def _wrapped(words: str) -> list[str]:
    lines = [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > WRAP:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines
