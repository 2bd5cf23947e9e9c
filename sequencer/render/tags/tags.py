"""What stands on tags and labels, and the sheets of them as PDF."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import lru_cache
from io import BytesIO

from sequencer.document.addresses import step_url
from sequencer.document.plans.both_ways import PaperJob
from sequencer.graph.operations import Kind
from sequencer.graph.said import joint_words, path_words
from sequencer.machine.model import Joint
from sequencer.plan.hazards.cautions import notice
from sequencer.render.paper.typeset import typeset
from sequencer.render.tags.stock import Stock
from sequencer.wording import listing

LONGEST = 90
"""Letters of a line that a small tag has room for; a longer one ends in three dots."""

LONGEST_IN_CODE = 40
"""Letters of a line in a code: three of them still make one that a phone reads off the smallest label."""


@dataclass(frozen=True)
class Tag:
    """One tag.

    Attributes:
        mark: What is written large: ``BAG 12``, ``C``, ``C1``.
        side: For a pair, which of the two ends it goes on; empty for a bag.
        what: What is in the bag, or which joint it is on.
        details: Count and size.
        where: Where it was worked at, and at which step.
        more: What it could be mistaken for; empty for a bag.
        code: What its code holds: the address of the step on the page, or what the tag is for in words.
    """

    mark: str
    side: str
    what: str
    details: str
    where: str
    more: str
    code: str


def bag_tags(job: PaperJob, base: str | None = None) -> list[Tag]:
    """A tag for each bag, in the order in which they are filled.

    Args:
        job: What is taken apart.
        base: Where the page is served; without it the codes hold words, which need no server.
    """
    machine = job.machine
    found = []
    for step in job.into.steps:
        op = step.operation
        if op.name not in job.bags or op.part is None or op.joint is None:
            continue
        joint = machine.joint(op.part, op.joint)
        place = machine.positions[op.position].label
        found.append(
            Tag(
                mark=job.bags[op.name].upper(),
                side="",
                what=_short(joint_words(machine, op.part, op.joint)),
                details=_short(_counted(joint)),
                where=_short(f"Step {step.number}, {place}"),
                more="",
                code=_code(job, base, op.name, job.bags[op.name], joint_words(machine, op.part, op.joint)),
            )
        )
    return found


def pair_labels(job: PaperJob, base: str | None = None) -> list[Tag]:
    """Two labels for each end that could be mistaken: one stays, one goes with what comes away."""
    return [label for pair in _pairs(job, base) for label in pair]


def _pairs(job: PaperJob, base: str | None) -> Iterator[tuple[Tag, Tag]]:
    machine = job.machine
    for step in job.into.steps:
        op = step.operation
        label = job.labels.get(op.subject) if op.kind is Kind.UNDO else None
        if label is None or op.part is None or op.joint is None:
            continue
        joint = machine.joint(op.part, op.joint)
        others = [path for path in label.like if path != label.joint]
        like = listing((path_words(machine, path) for path in others), 2)
        for number in range(1, joint.count + 1):
            mark = label.mark + (str(number) if joint.count > 1 else "")
            what = joint_words(machine, op.part, op.joint)
            shared = {
                "mark": mark,
                "what": _short(what),
                "details": f"{number} of {joint.count}" if joint.count > 1 else joint.kind,
                "where": _short(f"Step {step.number}, {machine.positions[op.position].label}"),
                "more": _short(f"not {like}") if like else "",
                "code": _code(job, base, op.name, mark, what),
            }
            yield Tag(side="stays", **shared), Tag(side="comes away", **shared)


def tags_pdf(job: PaperJob, tags: list[Tag], stock: Stock) -> bytes:
    """Tags on label sheets.

    Raises:
        SequencerError: The page could not be set.
    """
    data = {
        "job": job.name,
        "notice": notice(),
        "page": stock.page,
        "label": stock.label,
        "places": stock.places,
        "cut": stock.cut,
        "tags": [{**asdict(tag), "svg": code_svg(tag.code)} for tag in tags],
    }
    return typeset("tags", data, job.on)[0]


def _code(job: PaperJob, base: str | None, operation: str, mark: str, what: str) -> str:
    """What a camera reads off the tag: an address if one is served, else the same words as beside it."""
    if base is not None:
        return step_url(base, operation)
    return "\n".join(_short(words, LONGEST_IN_CODE) for words in (mark, what, job.machine.name))


@lru_cache(1_000)
def code_svg(text: str) -> str:
    """A QR code of ``text`` (ISO/IEC 18004, level M) as SVG, its quiet zone of four modules included."""
    import segno

    stream = BytesIO()
    segno.make(text, error="m", micro=False).save(stream, kind="svg", border=4, xmldecl=False, scale=1)
    return stream.getvalue().decode()


def _counted(joint: Joint) -> str:
    """``4 × bolt M6, head 10``: the count always first, also where there is one."""
    size = ", ".join(filter(None, (joint.thread, f"head {joint.head}" if joint.head else "")))
    return f"{joint.count} × {joint.kind.replace('-', ' ')} {size}".strip()


def _short(text: str, most: int = LONGEST) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"
