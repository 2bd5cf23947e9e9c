"""Joints out of what is said: how many of what kind, with which head, thread, tool and torque."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.machine.heard.joint_draft import JointDraft
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.stretches import drafts_in
from sequencer.machine.heard.tokens import Words, tokens_of
from sequencer.machine.model import HAND
from sequencer.machine.trade.heads import (
    SaidHead,
    family_at,
    head_at,
    is_bare,
    is_key_size,
    no_tool,
    usual_size,
)
from sequencer.quantities import TorqueQuantity
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import parse_thread
from sequencer.wording import capital

_SINGLE = 1
_SMALLEST_AMBIGUOUS = 8
"""Eight bolts, or bolts with 8 mm heads? Fewer than that can only be a count."""

_LARGEST_AMBIGUOUS = 24
_TOOLED = ("bolt", "nut", "union", "stud", "banjo", "fastener", "plug")
"""Kinds that are called by their size: the 13 bolt."""
_PLAIN_TOOLS = ("socket", "ratchet", "screwdriver")
"""Tools that say no more than the head does."""


@dataclass(frozen=True)
class OpenPoint:
    """What a joint leaves open.

    Attributes:
        about: ``count``, ``head`` or ``thread``.
        text: The question.
        choices: Likely answers.
        refused: The head that was said, where it is none.
        number: What may be the count, or a size.
        problem: What is wrong with the thread that was said.
    """

    about: str
    text: str
    choices: tuple[str, ...] = ()
    refused: str = ""
    number: int | None = None
    problem: str = ""


@dataclass(frozen=True)
class JointSaid:
    """A joint as it was said. ``None`` and empty where nothing was said of it.

    Attributes:
        said: The words that it was read from.
        kind: The kind's name in ``kinds.toml``.
        word: What the kind was called, in the singular.
        label: Words that tell it from others: ``long``, ``clamp`` of a clamp bolt.
        count: How many; 1 by default where the kind stands in the singular.
        counted: The count was said.
        head: As a machine file has it: ``10``, ``T25``; ``hand`` where no tool is needed.
        family: Heads of this sort, of a size that was not said.
        length_mm: Of the fastener, under its head.
        doubts: What has to be asked.
        after: It was undone after those that were said before it.
    """

    said: str = ""
    kind: str | None = None
    word: str = ""
    label: str = ""
    count: int | None = None
    counted: bool = False
    head: str | None = None
    family: str = ""
    tool: str | None = None
    thread: str | None = None
    length_mm: int | None = None
    property_class: str | None = None
    torque: TorqueQuantity | None = None
    doubts: tuple[OpenPoint, ...] = ()
    after: bool = False

    @property
    def words(self) -> str:
        """What it is called: ``long bolts``."""
        word = self.word or "fastener"
        many = self.count is None or self.count > _SINGLE
        return " ".join(one for one in (self.label, plural(word) if many else word) if one)

    @property
    def tool_words(self) -> str | None:
        """The tool that was named, with its size: 13 mm ring spanner; None where the head says as much."""
        if self.tool is None or self.head is None or self.head == HAND:
            return self.tool
        size = f"{self.head} mm" if is_bare(self.head) else self.head
        return None if self.tool in _PLAIN_TOOLS else f"{size} {self.tool}"


def joints_in(words: Words, *, naming: bool = False) -> list[JointSaid]:
    """The joints that the words say, which are taken out of them.

    Args:
        words: A clause.
        naming: It may name a part: a kind alone behind other words (fuel pipe) belongs to a name.
    """
    drafts = [one for one in drafts_in(words.text, naming=naming) if _is_one(one)]
    found = [replace(_joint(draft), said=words.raw(draft.start, draft.end)) for draft in drafts]
    for draft in reversed(drafts):
        words.cut(draft.start, draft.end)
    return found


def _kind(draft: JointDraft) -> tuple[str | None, str]:
    """The kind that was said or is likely, and its word."""
    kind, word = (draft.kind.name, draft.kind.word) if draft.kind else (None, "")
    if (
        kind == word == "plug"
        and draft.head is None
        and not {"drain", "spark", "glow", "sump", "oil"} & {*draft.label}
    ):
        return "connector", word
    if kind is None and draft.family is not None and draft.family.likely and draft.count is not None:
        return "screw", "screw"
    return kind, word


def _joint(draft: JointDraft) -> JointSaid:
    """The joint of a draft, with what has to be asked of it."""
    thread, doubts = _thread(draft)
    kind, word = _kind(draft)
    count, counted = draft.count, draft.count is not None and not draft.unsaid
    head, hand = draft.head, draft.hand
    if draft.leading is not None:
        count, counted = int(draft.leading), True
        if _may_be_size(count, kind, head is not None or hand):
            doubts.append(_count_or_size(count, word))
            count, counted = None, False
    many = draft.many or (draft.kind is not None and draft.kind.many)
    if count is None and not many and not draft.vague:
        count = _SINGLE
    if count is None and not any(one.about == "count" for one in doubts):
        doubts.append(
            OpenPoint(
                "count",
                f"How many {plural(draft.kind.word) if draft.kind else 'of them'} are there?",
                ("2", "3", "4", "6"),
            )
        )
    written, more = _head(draft, _keyed(draft, word, head))
    doubts += more
    return JointSaid(
        kind=kind,
        word=word,
        label=" ".join(draft.label),
        count=count,
        counted=counted,
        head=HAND if hand else written,
        family=draft.family.said if draft.family is not None and written is None else "",
        tool=draft.tool,
        thread=thread,
        length_mm=draft.length,
        property_class=draft.grade,
        torque=draft.torque,
        doubts=tuple(doubts),
    )


def _keyed(draft: JointDraft, word: str, head: SaidHead | None) -> SaidHead | None:
    """The size of a grub screw is that of its key."""
    grub = "grub" in (*draft.label, *word.split())
    if head is None or not grub or not is_key_size(head.written):
        return head
    return head_at(f"allen {head.written}", 0) or head


def plural(word: str) -> str:
    """Several of it."""
    if word.endswith(("ch", "x", "sh")):
        return f"{word}es"
    return word if word.endswith("s") else f"{word}s"


def _is_one(draft: JointDraft) -> bool:
    """Numbers alone are no joint where none of them can be a size: two of 0.5."""
    plain = draft.kind is None and draft.thread is None and draft.family is None and not draft.hand
    if not plain or draft.head is None:
        return True
    size = draft.head.written.split()[-1]
    return draft.head.tool is not None and (draft.head.usual or not is_bare(size) or float(size) > 1)


def _thread(draft: JointDraft) -> tuple[str | None, list[OpenPoint]]:
    """The thread, or the question that it leaves where it is none."""
    if draft.thread is None:
        return None, []
    try:
        parse_thread(draft.thread)
    except FastenerError as why:
        problem = f"{draft.thread}: {why.problem}"
        return None, [OpenPoint("thread", f"{problem}. Which thread is it?", problem=problem)]
    return draft.thread, []


def _may_be_size(count: int, kind: str | None, sized: bool) -> bool:
    """``10 bolts``: ten of them, or bolts with 10 mm heads."""
    return not sized and kind in _TOOLED and _SMALLEST_AMBIGUOUS <= count <= _LARGEST_AMBIGUOUS


def _count_or_size(count: int, word: str) -> OpenPoint:
    many = plural(word or "fastener")
    return OpenPoint(
        "count",
        f"{count} {many}, or {many} with {count} mm heads?",
        (f"{count} of them", f"{count} mm heads"),
        number=count,
    )


def _head(draft: JointDraft, head: SaidHead | None) -> tuple[str | None, list[OpenPoint]]:
    """The head as a file has it, or the question that it leaves."""
    family = draft.family
    if head is None:
        if family is None:
            return None, []
        likely = (family.likely,) if family.likely else ()
        return None, [OpenPoint("head", f"Which size of {family.said}?", likely)]
    if head.tool is None:
        problem, remedy = no_tool(head.written)
        text = f"{capital(problem)}; {remedy}. What is it?"
        return None, [OpenPoint("head", text, refused=head.written)]
    if not head.usual:
        return None, [
            OpenPoint(
                "head", f"A head of {head.written} mm is unusual. What size is it?", refused=head.written
            )
        ]
    if head.unsure:
        size = head.written
        choices = (f"allen {size}", f"{size} mm")
        text = f"{size} mm hex: for a key, or for a spanner?"
        return None, [OpenPoint("head", text, choices, refused=f"{size} mm hex")]
    return head.written, []


def _by_its_tool(joint: JointSaid) -> bool:
    """Only a tool was said, with its size: 10 socket."""
    return joint.thread is None and any(one.sort is Is.TOOL for one in lexemes(joint.said))


def joined(last: JointSaid, one: JointSaid) -> JointSaid | None:
    """The joint before, with what a clause of its own says of it; None where that is another joint."""
    if last.kind is None and not last.counted and one.kind and one.head is None and _by_its_tool(last):
        return replace(
            one, said=f"{last.said}, {one.said}", head=last.head, tool=last.tool
        )  # 10 socket, 4 bolts
    if one.kind is not None or one.counted:
        return None
    one = _key_of(last, one)
    if last.head is not None and (one.head is not None or one.doubts):
        return None
    if last.tool is not None and one.tool is not None:
        return None
    doubts = tuple(
        d
        for d in last.doubts
        if not (d.about == "head" and one.head) and not (d.number is not None and one.head)
    )
    count = last.count
    if (
        count is None
        and one.head
        and (ambiguous := next((d for d in last.doubts if d.number is not None), None))
    ):
        count = ambiguous.number
    head = _of_family(last.family, one.head) if one.head else None
    return replace(
        last,
        said=f"{last.said}, {one.said}",
        head=last.head or head,
        family="" if head or last.head else last.family or one.family,
        tool=last.tool or one.tool,
        thread=last.thread or one.thread,
        length_mm=last.length_mm or one.length_mm,
        property_class=last.property_class or one.property_class,
        count=count,
        counted=last.counted or (last.count is None and count is not None),
        doubts=(*doubts, *(d for d in one.doubts if d.about != "count")),
    )


def _key_of(last: JointSaid, one: JointSaid) -> JointSaid:
    """``one grub screw, 2 mm``: so small a size is that of its key."""
    refused = next((doubt.refused for doubt in one.doubts if doubt.refused), "")
    if "grub" not in last.said.casefold() or not is_key_size(refused):
        return one
    return replace(one, head=f"allen {refused}", doubts=())


def of_the_same_sort(last: JointSaid, one: JointSaid) -> JointSaid:
    """``2 bolts 8 and one 10``, ``4 allens 4 and two 5s``: the same kind, and the same sort of head."""
    sort, _, size = (last.head or "").rpartition(" ")
    sort = sort if size else ""
    head = _of_family(sort, one.head) if sort and one.head else one.head
    return replace(one, kind=last.kind, word=last.word, head=head)


def _of_family(family: str, head: str) -> str:
    """A bare size as the head of the sort that was said: ``six allen bolts, 5``."""
    sort = family_at(family, 0) if family and is_bare(head) else None
    return (sort.sized(head) or head) if sort is not None else head


def sized(joint: JointSaid, size: str, tool: str | None = None) -> JointSaid | None:
    """The joint with a size that is said by itself: ``five bolts, 10``; None where it has a head already."""
    grub = "grub" in joint.said.casefold() and is_key_size(size)
    family = joint.family or ("allen" if grub else "")
    if not family and not fits_head(size):
        return None
    (one,) = joints_in(Words(tokens_of(f"{family} fastener {size}".strip()))) or [JointSaid()]
    return joined(joint, replace(one, kind=None, counted=False, tool=tool, said=size))


def fits_head(size: str) -> bool:
    """A number that can be the size of a head, where a bare one is said."""
    return Fraction(size) > 0 and usual_size(size)


def answered_count(text: str) -> tuple[str, int] | None:
    """What an answer to ``how many?`` says: ``count`` or ``head``, and the number; None: it says none."""
    norms = [one.norm for one in mended(tokens_of(text))]
    number = next((int(one) for one in norms if one.isdecimal()), None)
    sized = not {"size", "head", "heads", "mm"}.isdisjoint(norms)
    return None if not number else ("head" if sized else "count", number)
