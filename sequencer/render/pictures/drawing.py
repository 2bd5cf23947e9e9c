"""What stands in the dependency diagram: which boxes and arrows there are, and how each looks.

One box for each part at each position where something of it is undone; boxes stand together by position.
An arrow runs from what has to move to what it is in the way of. Told apart without colour: a part that comes
off has a solid frame, one that is only moved a dashed frame with its state in words, what stays fitted a
thin grey one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from sequencer.document.words import listing, name_of, part_words, sentence, target_words
from sequencer.graph.operations import REACHES, Kind
from sequencer.machine.model import Atom, Joint, Machine, Need, Part, State
from sequencer.plan.plan import Teardown
from sequencer.render.pictures.boxes import (
    BLACK,
    FAINT,
    empty_key,
    heading,
    node_key,
    numbered,
    plain,
    port,
    table,
)

JOINT_KINDS = (Kind.UNDO, Kind.SLACKEN, Kind.CRACK)
LETTERS = {Kind.CRACK: "c", Kind.SLACKEN: "s", Kind.UNDO: ""}
"""Before the number of a step that does less than undo a joint."""


@dataclass
class PlacedPart:
    """A part at one position: its joints there, and whether the part itself is moved there."""

    part: Part
    position: str
    joints: list[Joint] = field(default_factory=list)
    home: bool = False


@dataclass(frozen=True)
class Extract:
    """One page of a diagram.

    Attributes:
        title: What it shows.
        keys: The nodes of its boxes.
        steps: The steps whose other work (tasks, drains) is named on it.
        elsewhere: For the nodes of other pages, which one: ``page 2``.
    """

    title: str
    keys: frozenset[str]
    steps: frozenset[int]
    elsewhere: Mapping[str, str]


@dataclass(frozen=True)
class Arrow:
    """From what has to move to what it is in the way of."""

    tail: str
    head: str
    looks: Mapping[str, str]


class Drawing:
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
        """The machine, and what the job is for."""
        if self.plan is None:
            return f"{self.machine.name}: what is in the way of what"
        aims = listing(target_words(self.machine, target) for target in self.plan.targets)
        # The order of a plan in sittings is proven by its sittings, not as the shortest of all.
        proven = self.plan.proven or self.plan.breaks
        return f"{self.machine.name}: {aims}" + ("" if proven else " (best found, not proven)")

    def _boxes(self) -> dict[str, dict[str, PlacedPart]]:
        """Boxes by part and position, in the order of the file."""
        boxes: dict[str, dict[str, PlacedPart]] = {}
        for part in self.machine.parts.values():
            if part.name not in self.kept:
                continue
            if self._stays(part.name):
                continue
            mine = boxes.setdefault(part.name, {})
            home = PlacedPart(part, part.position, home=True)
            mine[part.position] = home
            for joint in part.joints.values():
                if self._shown(joint):
                    mine.setdefault(joint.position, PlacedPart(part, joint.position)).joints.append(joint)
            if self.plan is not None and part.name not in self.reached and not home.joints and len(mine) > 1:
                del mine[part.position]
        return boxes

    def _shown(self, joint: Joint) -> bool:
        """Joints that a plan leaves alone would only crowd the page."""
        return self.plan is None or any(kind.of(joint.path) in self.steps for kind in JOINT_KINDS)

    def touched(self, part: str) -> bool:
        """Whether the plan moves the part or undoes any of its joints; without a plan everything counts."""
        return (
            self.plan is None
            or part in self.reached
            or any(operation.part == part for operation in self.plan.operations)
        )

    def by_key(self) -> dict[str, PlacedPart]:
        """The boxes by their nodes."""
        return {
            node_key(box.part.name, box.position): box
            for mine in self.boxes.values()
            for box in mine.values()
        }

    def steps_of(self, box: PlacedPart) -> list[int]:
        """The numbers of the plan's steps that stand in a box, in order."""
        names = [kind.of(joint.path) for joint in box.joints for kind in JOINT_KINDS]
        if box.home:
            names += [kind.of(box.part.name) for kind in REACHES]
        return sorted(self.steps[name] for name in names if name in self.steps)

    def by_position(self, extract: Extract | None = None) -> dict[str, dict[str, str]]:
        """The boxes at each position, by node; an empty one where there is only other work."""
        found: dict[str, dict[str, str]] = {name: {} for name in self.machine.positions}
        beside = self._beside(extract) if extract else {}
        for key, box in self.by_key().items():
            if extract is None or key in extract.keys:
                found[box.position][key] = self.table(box, beside.get(key, ()))
        for position in self.other_work(extract):
            found[position] = found[position] or {empty_key(position): table([plain("&#160;", FAINT)])}
        return {name: nodes for name, nodes in found.items() if nodes}

    def _beside(self, extract: Extract) -> dict[str, list[str]]:
        """For each box of an extract what it hangs together with on other pages, in words."""
        after: dict[str, dict[str, None]] = {}
        before: dict[str, dict[str, None]] = {}
        for arrow in self.arrows():
            tail, head = arrow.tail.partition(":")[0], arrow.head.partition(":")[0]
            if head in extract.keys and tail not in extract.keys:
                after.setdefault(head, {})[tail] = None
            if tail in extract.keys and head not in extract.keys:
                before.setdefault(tail, {})[head] = None
        return {
            key: [
                *(f"after {words}" for words in self._elsewhere(after.get(key, ()), extract)),
                *(f"clears {words}" for words in self._elsewhere(before.get(key, ()), extract)),
            ]
            for key in extract.keys
        }

    def _elsewhere(self, keys: Iterable[str], extract: Extract) -> Iterator[str]:
        """Boxes of other pages by name, page by page."""
        boxes = self.by_key()
        names: dict[str, dict[str, None]] = {}
        for key in keys:
            where = extract.elsewhere.get(key, "not drawn")
            names.setdefault(where, {})[part_words(self.machine, boxes[key].part.name)] = None
        for where, found in names.items():
            yield f"{listing(found, 3)} ({where})"

    def other_work(self, extract: Extract | None = None) -> dict[str, str]:
        """The plan's tasks and drains with their numbers, by position; not beside a single chain."""
        found: dict[str, list[str]] = {}
        if self.plan is not None and len(self.kept) == len(self.machine.parts):
            for step in self.plan.steps:
                if extract is not None and step.number not in extract.steps:
                    continue
                if step.operation.part is None:
                    words = f"{step.number} {sentence(self.machine, step.operation)}"
                    found.setdefault(step.operation.position, []).append(words)
        return {position: " · ".join(words) for position, words in found.items()}

    def table(self, box: PlacedPart, beside: Iterable[str] = ()) -> str:
        """The box as a table: the part on top, a line for each joint, what it hangs together with beside."""
        faded = not self.touched(box.part.name)
        colour = FAINT if faded else BLACK
        state = self.reached.get(box.part.name)
        thick = box.home and not faded and self._is_target(box.part.name)
        rows = [self._head(box, state, colour), *(self._row(joint, colour) for joint in box.joints)]
        rows += [heading(words, BLACK) for words in beside]
        return table(
            rows,
            border=2 if thick else 1,
            colour=colour,
            dashed=state in (State.LOOSE, State.ASIDE),
        )

    def _is_target(self, part: str) -> bool:
        return self.plan is not None and any(target.part == part for target in self.plan.targets)

    def _head(self, box: PlacedPart, state: State | None, colour: str) -> str:
        words = part_words(self.machine, box.part.name)
        if not box.home:
            return heading(words, colour)
        if state is None:
            return numbered("", words, colour, bold=self.plan is None)
        if state is not State.OFF:
            words += f" ({state.word})"
        return numbered(self._moved_at(box.part.name, state), words, colour, bold=True)

    def _moved_at(self, part: str, state: State) -> str:
        word = next(kind.value for kind, reached in REACHES.items() if reached is state)
        return str(self.steps[f"{word} {part}"])

    def _row(self, joint: Joint, colour: str) -> str:
        numbers = [
            f"{letter}{self.steps[name]}"
            for kind, letter in LETTERS.items()
            if (name := kind.of(joint.path)) in self.steps
        ]
        count = f"{joint.count} × " if joint.count > 1 else ""
        size = f" {joint.head}" if joint.head else ""
        words = f"{count}{name_of(joint.name, joint.label)}{size}"
        return numbered(" ".join(numbers), words, colour, key=port(joint.name))

    def arrows(self) -> list[Arrow]:
        """From what has to move to what it is in the way of, each pair once."""
        found: dict[tuple[str, str], Arrow] = {}
        for part in self.machine.parts.values():
            if part.name not in self.boxes:
                continue
            home = self._home(part.name)
            for need in part.waits:
                self._arrow(found, need, home, part.name)
            for joint in part.joints.values():
                if self._shown(joint):
                    for need in joint.waits:
                        self._arrow(found, need, node_key(part.name, joint.position), part.name)
            for box in self.boxes[part.name].values():
                key = node_key(part.name, box.position)
                if key != home:
                    looks = {"style": "dotted", "arrowhead": "none"}
                    found.setdefault((key, home), Arrow(key, home, looks))
        return list(found.values())

    def _arrow(self, found: dict[tuple[str, str], Arrow], need: Need, head: str, blocked: str) -> None:
        for atom in need.any_of:
            if atom.part not in self.boxes or atom.part == blocked:
                continue
            style = dict(need.relation.arrow)
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
                    return f"{node_key(atom.part, position)}:{port(joint.name)}"
        return self._home(atom.part)

    def _home(self, part: str) -> str:
        """The box that stands for the part itself: at its own position, if there is one."""
        boxes = self.boxes[part]
        position = self.machine.parts[part].position
        return node_key(part, position if position in boxes else next(iter(boxes)))

    def _stays(self, part: str) -> bool:
        """Whether a part stays fitted and is no other way in either: named in a list, not drawn."""
        return not self.touched(part) and part not in self.other_ways

    def _other_ways(self) -> set[str]:
        """The untouched parts that an alternative of a touched one names."""
        needs = (
            need for part in self.machine.parts.values() if self.touched(part.name) for need in part.all_waits
        )
        return {atom.part for need in needs if len(need.any_of) > 1 for atom in need.any_of}

    def staying(self) -> str:
        """What stays fitted and is not drawn, in words."""
        names = [
            part_words(self.machine, name)
            for name in self.machine.parts
            if name in self.kept and name not in self.boxes
        ]
        return f"Stays fitted and is not drawn: {listing(names)}." if names else ""
