"""What a job offers to the machine file and to a person's pace."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.render.data.plain import Record


class OfferData(Record):
    """One thing that could be written into the machine file."""

    words: Annotated[str, "What it says, in one line."]
    why: Annotated[str, "Where it is from: found when, or measured how often."]
    edits: Annotated[Sequence[Any], "The changes that say it."]


class LearnedPaceData(Record):
    """How many times as long one kind of work takes as in the file."""

    factor: Fraction
    samples: int


class LearningData(Record):
    """What a job taught."""

    into: Annotated[str, "The machine file that the job's copy came from."]
    offers: Sequence[OfferData]
    pace_file: Annotated[str, "Where the pace is kept."]
    pace: Annotated[Mapping[str, LearnedPaceData], "By the kind of work."]
