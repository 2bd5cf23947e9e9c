"""As JSON: the choices of a way in that might as well have gone the other way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from sequencer.document.plans.either import either_words
from sequencer.plan.either import either
from sequencer.plan.plan import Teardown
from sequencer.render.data.plain import Record


class EitherData(Record):
    """Two ways of meeting a need whose times lie within their spread."""

    taken: Annotated[Sequence[str], "The plan's way: operations of which any one will do, least first."]
    other: Annotated[Sequence[str], "Those of the other way."]
    seconds: Annotated[int, "About what the other takes more; negative where it takes less."]
    chance: Annotated[float, "That the other is the quicker one, from 0 to 1."]
    safer: Annotated[Literal["taken", "other"], "The shorter one when things go badly."]
    says: str


def either_data(plan: Teardown) -> list[EitherData]:
    """Those of a whole way in, in its order."""
    return [
        EitherData(
            taken=one.taken.operations,
            other=one.way.operations,
            seconds=one.seconds,
            chance=round(one.chance, 2),
            safer="other" if one.safer == one.way else "taken",
            says=either_words(plan, one),
        )
        for one in either(plan)
    ]
