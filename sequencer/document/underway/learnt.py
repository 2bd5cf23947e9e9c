"""What a job has taught: what may go into the machine file, and a person's own pace."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from sequencer.document.blocks import Block, Item, Items, Para, Tone
from sequencer.job.learning.learning import Offer
from sequencer.job.learning.pace import KindPace


def learnt_document(
    found: Sequence[Offer], pace: Mapping[str, KindPace], origin: Path, kept: Path, who: str
) -> Iterator[Block]:
    """What is offered for the file ``origin``, by number, and the pace that may be kept in ``kept``."""
    if not found and not pace:
        yield Para(f"Nothing new for {origin.name}, and too little to tell a pace from.")
        return
    if found:
        yield Para(f"For {origin}:", Tone.STRONG)
        offers = (Item(f"{one.words}   ({one.why})", str(n)) for n, one in enumerate(found, start=1))
        yield Items(tuple(offers), marks=2)
    if pace:
        yield Para(f"For the pace of {who or 'whoever worked'}, {kept}:", Tone.STRONG)
        told = (
            Item(f"{kind}: {float(own.factor):g} × the file   ({own.samples} samples)", " p")
            for kind, own in sorted(pace.items())
        )
        yield Items(tuple(told), marks=2)
