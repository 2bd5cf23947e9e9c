"""What is left over, and which joints could miss it: the words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.document.blocks import Block, Item, Items, Para, Title, Tone
from sequencer.document.words import fastening, plural
from sequencer.graph.said import joint_words, part_words
from sequencer.job.now.moment import Moment
from sequencer.job.reports.leftover import TOGETHER, Lying, Stand, Suspect
from sequencer.wording import capital, listing

MOST_SHOWN = 5


def leftover_document(moment: Moment, left: Lying, found: Sequence[Suspect]) -> Iterator[Block]:
    """The joints that a leftover fastener may belong to, the likeliest first."""
    yield Title(f"{capital(left.said)} left over")
    if not found:
        yield Para(
            "No joint that this job has undone has such fasteners, as far as the file says. Look at what was "
            "opened and not told, and at what was renewed: the old ones lie about."
        )
        return
    shown = found[:MOST_SHOWN]
    many = f"{plural(len(found), 'joint')} could miss {'it' if left.count == 1 else 'them'}"
    likeliest = f"the {len(shown)} likeliest first" if len(shown) < len(found) else "the likeliest first"
    yield Para(f"{many}{f', {likeliest}' if len(found) > 1 else ''}.")
    for place, one in enumerate(shown, start=1):
        part, name = one.joint.part, one.joint.name
        about = fastening(one.joint)
        words = f"{place}  {joint_words(moment.machine, part, name)}{f'  ({about})' if about else ''}"
        yield Para(words, Tone.STRONG, apart=True)
        yield Items(tuple(Item(line) for line in _lines(moment, one)))


def _lines(moment: Moment, one: Suspect) -> Iterator[str]:
    yield stand_words(one)
    if one.alike:
        yield f"agrees in {listing(one.alike)}" + (f"; bag {one.bag}" if one.bag is not None else "")
    elif one.bag is not None:
        yield f"bag {one.bag}"
    if one.read is not None:
        yield f"a torque was read at {one.read} of {one.joint.count}"
    yield reach_words(moment, one)


def stand_words(one: Suspect) -> str:
    """Whether the joint was fastened, and what says so."""
    number = f"step {one.step}" if one.step is not None else "its fastening"
    tick = one.tick
    if one.stand is Stand.AHEAD:
        return f"not fastened yet: {number} is still to come, and may be what is waiting"
    if one.stand is Stand.PASSED or tick is None:
        return f"not ticked: {number} was passed over"
    who = " ".join(filter(None, (tick.person, f"{tick.time.astimezone():%H:%M}")))
    if one.stand is Stand.SKIPPED:
        return f"skipped: {number}, {tick.why} ({who})"
    along = f", with {plural(one.together, 'step')} more at one tick" if one.together >= TOGETHER - 1 else ""
    anyway = f", against the file: {tick.anyway}" if tick.anyway else ""
    return f"fastened: {number} ({who}{along}{anyway})"


def reach_words(moment: Moment, one: Suspect) -> str:
    """What has to come off again to look."""
    if not one.in_front:
        return "within reach now"
    parts = listing((part_words(moment.machine, part) for part in one.in_front), 6)
    come = "comes" if len(one.in_front) == 1 else "come"
    return f"closed off by {part_words(moment.machine, one.in_front[-1])}; to look, {parts} {come} off again"
