"""The report of a scan: a head that fits a screen, then what was found, worst first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sequencer.document.blocks import Block, Heading, Item, Items, Para, Title, Tone
from sequencer.document.clean import clean
from sequencer.document.plans.scan_words import (
    arc_words,
    body_words,
    collision_words,
    doubt_words,
    hit_words,
    need_written,
    waits_words,
)
from sequencer.document.words import duration, plural
from sequencer.graph.geometry import Scan, Seen
from sequencer.graph.geometry.added import to_write
from sequencer.graph.said import sentence
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.graph.geometry.replayed import Replayed
    from sequencer.plan.plan import Plan
    from sequencer.plan.scan import SeenCost

_INSTEAD = "a spanner from the side, a swivel, a bent key"
"""What reaches a fastener that a part hides itself (common practice)."""

MOST = 8
"""Entries of each kind that are shown unless all are asked for."""


def scan_document(scan: Scan, cost: SeenCost | None = None, *, whole: bool = False) -> Iterator[Block]:
    """The report, and what the findings ``cost`` a job; ``whole`` shows every entry."""
    machine = scan.machine
    placed = sum(part in scan.room.bodies for part in machine.parts)
    yield Title(machine.name)
    seen = len(scan.hidden) + len(scan.agreed)
    yield Para(
        f"{placed} of {plural(len(machine.parts), 'part')} placed; {plural(seen, 'relation')} seen: "
        f"{len(scan.hidden)} not written, {len(scan.agreed)} agree; "
        f"{len(scan.doubts)} written and not seen, {len(scan.unjudged)} can't be judged"
        + (f"; {plural(len(scan.inside), 'pair')} of parts inside each other" if scan.inside else "")
    )
    if cost is not None:
        yield Para(_cost_words(cost))
    if scan.room.shapes:
        triangles = sum(len(shape.triangles) for shape in scan.room.shapes.values())
        yield Para(
            f"{plural(len(scan.room.shapes), 'shape')} from files, {plural(triangles, 'triangle')}; what "
            f"overlaps across the way by up to {scan.room.tolerance_mm:g} mm slides"
        )
    if scan.bare:
        names = listing([body_words(machine, part) for part in scan.bare], None if whole else MOST)
        yield Para(f"No place given, so nothing is seen of them: {names}")
    if not placed:
        yield Para("Give parts a box: {at: [x, y, z], size: [a, b, c]}, in millimetres, and out: +z")
    yield from _hidden(scan, whole=whole)
    yield from _doubts(scan, whole=whole)
    if scan.inside:
        pairs = [" and ".join(body_words(machine, part) for part in pair) for pair in scan.inside]
        yield from _list("Inside each other as fitted; make their boxes closer:", pairs, whole=whole)
    if scan.legs:
        lines = [f"{body_words(machine, part)}: {how}" for part, how in scan.legs.items()]
        yield from _list("Come out in two legs or tilted, not straight:", lines, whole=whole)
    if scan.shut:
        head = f"Barred by their own part, whatever else is off ({_INSTEAD}):"
        yield from _list(head, [body_words(machine, path) for path in scan.shut], whole=whole)
    if scan.arcs:
        lines = [f"{body_words(machine, path)}: {arc_words(arc)}" for path, arc in scan.arcs.items()]
        yield from _list("No room to turn the handle full circle; there is room for:", lines, whole=whole)
    if whole:
        yield from _following(scan)


def replayed_document(plan: Plan, found: Replayed) -> Iterator[Block]:
    """What the steps of a plan run into, where things lie by then."""
    yield Heading("Against the shapes", Tone.PLAIN)
    if not found.judged:
        yield Para("The file gives no room to what moves here, so nothing can be told.")
        return
    steps = {one.step for one in found.collisions} | {step for step, _ in found.shut}
    runs = plural(len(steps), "runs", "run")
    met = f"{runs} into something" if steps else "none runs into what has a box or a shape"
    yield Para(f"{found.judged} of {found.moves} moves and tools can be judged; {met}.")
    lines = [(one.step, collision_words(plan.machine, one)) for one in found.collisions]
    itself = "the part itself is in the way of the tool"
    lines += [
        (step, f"Step {step}, {sentence(plan.machine, operation)}: {itself}; {_INSTEAD}?")
        for step, operation in found.shut
    ]
    lines.sort(key=lambda line: line[0])
    yield Items(tuple(Item(words) for _, words in lines), marks=2)


def _cost_words(cost: SeenCost) -> str:
    """What hidden blockers cost a job, in words."""
    about = "" if cost.proven else "about "
    if cost.seen == cost.written:
        return f"With what the file leaves out the job takes no longer: {about}{duration(cost.seen)}"
    more = f"{about}{duration(cost.seen)} instead of {duration(cost.written)}"
    if duration(cost.seen) == duration(cost.written):
        more = f"{about}{duration(cost.seen - cost.written)} longer"
    return f"With what the file leaves out the job takes {more}, {plural(len(cost.added), 'operation')} more"


def _hidden(scan: Scan, *, whole: bool) -> Iterator[Block]:
    if not scan.hidden:
        return
    first = [one for some in to_write(scan) for one in some]
    shown = [one for one in scan.hidden if whole or one in first]
    yield Heading("Seen and not written:", Tone.PLAIN)
    items = []
    for number, seen in enumerate(shown if whole else shown[:MOST], start=1):
        once = {(hit.obstacle, seen.joint or hit.way): hit for hit in reversed(seen.hits)}
        hits = [hit_words(scan.machine, hit) for hit in reversed(once.values())]
        written = f"{seen.holder}: {seen.key}: [{need_written(seen)}]"
        words = f"{waits_words(seen, scan.machine)}  ({_place(scan, seen)})"
        items.append(Item(words, str(number), below=("; ".join(hits), written)))
    items += _more(len(shown), whole=whole)
    if left := len(scan.hidden) - len(shown):
        items.append(Item(f"{left} more would follow from these: --all shows them"))
    yield Items(tuple(items), marks=2)


def _place(scan: Scan, seen: Seen) -> str:
    part = scan.machine.parts[seen.part]
    return str(part.joints[seen.joint].place if seen.joint is not None else part.place)


def _doubts(scan: Scan, *, whole: bool) -> Iterator[Block]:
    if scan.doubts:
        lines = [f"{doubt_words(scan.machine, doubt)}  ({doubt.need.place})" for doubt in scan.doubts]
        head = "Written and not seen (the boxes are rough: look again, nothing is taken out):"
        yield from _list(head, lines, whole=whole)


def _following(scan: Scan) -> Iterator[Block]:
    found = [one.seen for one in scan.agreed if one.written is None]
    if found:
        lines = [waits_words(seen, scan.machine) for seen in found]
        yield from _list("Seen, not written here, and it follows from other lines:", lines, whole=True)


def _list(head: str, lines: list[str], *, whole: bool) -> Iterator[Block]:
    yield Heading(head, Tone.PLAIN)
    items = [Item(line) for line in (lines if whole else lines[:MOST])]
    yield Items((*items, *_more(len(lines), whole=whole)), marks=2)


def _more(count: int, *, whole: bool) -> list[Item]:
    return [Item(f"and {count - MOST} more: --all shows them")] if count > MOST and not whole else []


def comment_words(scan: Scan, seen: Seen) -> str:
    """The comment beside a relation that was written into a file."""
    hits = dict.fromkeys(hit_words(scan.machine, hit) for hit in seen.hits)
    return clean(f"seen in the boxes: {next(iter(hits))}")
