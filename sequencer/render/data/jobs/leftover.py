"""What is left over, and which joints could miss it, as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

from sequencer.document.jobs.leftover import reach_words, stand_words
from sequencer.job.now.moment import Moment
from sequencer.job.reports.leftover import Lying, Suspect
from sequencer.render.data.plain import Record


class SuspectData(Record):
    """A joint that could miss what is left over."""

    joint: Annotated[str, "`part/joint`"]
    count: Annotated[int, "How many fasteners it has."]
    stand: Annotated[str, "`skipped`, `passed` over, still `ahead`, `fastened`."]
    step: Annotated[int | None, "The step that fastens it."]
    bag: int | None
    alike: Annotated[Sequence[str], "What agrees: thread, length, head, class, count."]
    read: Annotated[int | None, "At how many of its fasteners a torque was read; null: none was."]
    in_front: Annotated[Sequence[str], "Parts that come off again to look, the outermost first."]
    words: Annotated[Sequence[str], "Whether it was fastened, and what is in front of it."]


class LeftoverData(Record):
    """What is left over, and the joints that could miss it, the likeliest first."""

    said: str
    count: int
    joints: Sequence[SuspectData]


def leftover_json(moment: Moment, left: Lying, found: Sequence[Suspect]) -> dict[str, Any]:
    """The joints as plain data."""
    joints = [
        SuspectData.of(
            one,
            joint=one.joint.path,
            count=one.joint.count,
            stand=one.stand.value,
            words=[stand_words(one), reach_words(moment, one)],
        )
        for one in found
    ]
    return LeftoverData.of(left, joints=joints).plain()
