"""``--against-shapes``: an order played through against the boxes and shapes of the file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from sequencer.document.blocks import Block
    from sequencer.graph.geometry.replayed import Replayed
    from sequencer.plan.plan import Plan

AgainstShapes = Annotated[
    bool,
    typer.Option("--against-shapes", help="Play the order through against the boxes and shapes of the file."),
]


def check_shapes(asked: bool, other: str | None) -> None:
    """Refuse to play through what is told of an order in another way.

    Raises:
        SequencerError: It is asked, together with the ``other`` option.
    """
    if asked and other is not None:
        from sequencer.errors import SequencerError

        raise SequencerError(
            "--against-shapes plays one person's plan through, all of it",
            f"leave out --against-shapes, or {other}",
        )


def played(plan: Plan, *, asked: bool) -> Replayed | None:
    """What the steps run into; None where that is not asked. Nothing of shapes is imported then."""
    if not asked:
        return None
    from sequencer.plan.scan import against_the_shapes

    return against_the_shapes(plan)


def played_out(plan: Plan, *, asked: bool) -> Iterator[Block]:
    """The same in words; nothing where it is not asked."""
    found = played(plan, asked=asked)
    if found is not None:
        from sequencer.document.plans.scan import replayed_document

        yield from replayed_document(plan, found)
