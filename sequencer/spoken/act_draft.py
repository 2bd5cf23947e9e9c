"""An act while the clauses of its line are read, and how the joints of each belong to those told before."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from sequencer.machine.heard.joint import JointSaid, fits_head, joined, of_the_same_sort, sized
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.quantities import TorqueQuantity
from sequencer.spoken import details
from sequencer.spoken.clause import Piece
from sequencer.spoken.values import Act, Did, Heard, Name
from sequencer.spoken.whole import kind_named, named_many

BEGUN_BY_THEN = re.compile(r"(?:and )?(?:then|next) ")
"""How a clause begins that tells what came after."""

_SMALLEST_ALONE = 7
"""A number by itself, of no joint that was named, is a size from here on: bracket off, 13."""

_SMALLEST_HEAD = 5
"""Millimetres; smaller ones are for a key."""


@dataclass
class ActDraft:
    """An act while the clauses of its line are read."""

    pieces: list[Piece] = field(default_factory=list)
    act: Heard[Act] | None = None
    implied: str | None = None
    name: Name | None = None
    joints: list[JointSaid] = field(default_factory=list)
    many: int | None = None
    unplugged: bool = False
    drained: Heard[Act] | None = None
    did: Did = field(default_factory=lambda: Did(Heard(Act.OFF)))

    def held(self, piece: Piece) -> None:
        """Joints of a clause; one that only sizes or counts those before belongs to them."""
        told = self.joints
        if piece.count is not None:
            self.count(piece, piece.count)
        then = BEGUN_BY_THEN.match(piece.text.casefold()) is not None
        joints = list(self.unlifted(piece.joints))
        first_after = joints[0] if joints and then else None
        for found in joints:
            found = self.counted_before(found, told)  # noqa: PLW2901
            one = replace(found, counted=False) if told and _sizes(told[-1], found) else found
            whole = joined(told[-1], one) if told else None
            if whole is not None and _only_a_tool(told[-1], one):
                self.did = replace(self.did, tool=Heard(one.said, one.said))
            elif whole is not None:
                told[-1] = whole
            elif _of_the_same_kind(told, found, piece):
                told.append(of_the_same_sort(told[-1], one))
            else:
                told.append(replace(one, after=bool(told) and found is first_after))
        if piece.bare is not None:
            self.bare(piece, piece.bare)
        elif piece.tool is not None:
            used = not piece.joints and piece.text.casefold().startswith(("us", "with"))
            lifts = details.lifts(piece.tool.value)
            if told and told[-1].tool is None and not used and not lifts:
                told[-1] = replace(told[-1], tool=piece.tool.value)
            else:
                self.did = replace(self.did, tool=piece.tool)

    def tightened(self, piece: Piece) -> None:
        """``4 bolts 15, 20 Nm, 2 nuts 10``: the torque is that of the joint it is told behind."""
        stages = piece.figure.stages if piece.figure is not None and not piece.joints else ()
        last = self.joints[-1] if self.joints else None
        if len(stages) == 1 and isinstance(stages[0], TorqueQuantity) and last is not None and last.counted:
            self.joints[-1] = replace(last, torque=last.torque or stages[0])

    def counted_before(self, one: JointSaid, told: list[JointSaid]) -> JointSaid:
        """``four, T20``: the number that stood before says how many."""
        many, self.many = self.many, None
        if many is None or told or one.counted:
            return one
        doubts = tuple(doubt for doubt in one.doubts if doubt.about != "count")
        return replace(one, count=many, counted=True, said=f"{many} {one.said}", doubts=doubts)

    def unlifted(self, joints: list[JointSaid]) -> Iterator[JointSaid]:
        """Joints without a tool that carries the part: ``4 bolts 13 with the hoist``; it is the act's."""
        for one in joints:
            if one.tool is not None and details.lifts(one.tool):
                self.did = replace(self.did, tool=Heard(one.tool, one.tool))
                yield replace(one, tool=None)
            else:
                yield one

    def count(self, piece: Piece, count: int) -> None:
        """``2 of them``: how many of the joint in this clause, or of the one before."""
        told = self.joints
        joints = told if told and not told[-1].counted else piece.joints or told
        if not joints and named_many(self.name):
            joints.append(kind_named(self.name))
        sizes = joints and joints[-1].counted and joints[-1].count != count and joints[-1].head is None
        if sizes and (whole := sized(joints[-1], str(count))) is not None:
            joints[-1] = whole  # 5 bolts, all 10
            return
        if not joints:
            self.many = count
            return
        if joints[-1].counted and not any(one.about == "count" for one in joints[-1].doubts):
            piece.rest.append(f"{count} of them")
            return
        doubts = tuple(one for one in joints[-1].doubts if one.about != "count")
        joints[-1] = replace(joints[-1], count=count, counted=True, doubts=doubts)

    def bare(self, piece: Piece, number: str) -> None:
        """A number by itself: the size of the joint before it, or of what the part's name says."""
        last = self.joints[-1] if self.joints else None
        tool = piece.tool.value if piece.tool else None
        if last is not None and str(last.count) == number and last.kind is not None and last.head is not None:
            self.joints[-1] = replace(last, counted=True, said=f"{last.said}, {number}")
            return
        if number.isdecimal() and self.counts(last, int(number)):
            self.count(piece, int(number))
            return
        whole = sized(last or JointSaid(said=number, count=1), number, tool)
        if last is not None and whole is not None:
            self.joints[-1] = whole
        elif whole is not None and float(number) >= _SMALLEST_ALONE:
            self.joints.append(self.counted_before(whole, []))
        elif last is not None and last.count is None and number.isdecimal():
            self.count(piece, int(number))
        elif last is not None and last.kind is None and not last.counted and fits_head(number):
            self.joints.append(JointSaid(said=number, count=1, head=number))  # 13 at the top, 15 below
        elif last is None and number.isdecimal() and not named_many(self.name):
            self.many = int(number)
        elif last is None and number.isdecimal() and named_many(self.name):
            self.joints.append(replace(kind_named(self.name), count=int(number), counted=True))
        else:
            piece.rest.append(number)

    def counts(self, last: JointSaid | None, number: int) -> bool:
        """A number behind several can only say how many: they have a size or none, or no head is so small."""
        if last is None or last.counted:
            return False
        if last.count is not None and last.kind is not None and not named_many(self.name):
            return False
        kind = kind_of_joint(last.kind) if last.kind else None
        by_hand = kind is not None and kind.by_hand
        sized = (last.head or last.thread) and (last.kind is not None or number < _SMALLEST_ALONE)
        return by_hand or bool(sized) or (not last.family and number < _SMALLEST_HEAD)


def _of_the_same_kind(told: list[JointSaid], one: JointSaid, piece: Piece) -> bool:
    """``2 bolts 8 and one 10``; of clips, which have no head, it is another kind."""
    more = one.kind is None and one.counted and one.head is not None
    kind = kind_of_joint(told[-1].kind) if told and told[-1].kind else None
    return more and bool(told) and one is not piece.joints[0] and not (kind is not None and kind.by_hand)


def _sizes(last: JointSaid, one: JointSaid) -> bool:
    """``2 bolts, both 13s``: the size of those that were counted before."""
    plain = one.kind is None and one.thread is None and one.head is not None
    return plain and last.counted and last.count == one.count and last.head is None and one.counted


def _only_a_tool(last: JointSaid, one: JointSaid) -> bool:
    """A spanner that is told behind pins and clips: they have no head, it was used on them."""
    kind = kind_of_joint(last.kind)
    return bool(one.tool and one.head) and last.kind is not None and kind is not None and kind.by_hand
