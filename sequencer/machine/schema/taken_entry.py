"""The shape of how a machine came apart on a job: the order, and what of it is of no matter."""

from __future__ import annotations

from pydantic import Field

from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import Needs, Text
from sequencer.machine.schema.key_words import key


class FreeEntry(Entry):
    """Things of the order that do not wait for one another."""

    called = "an order of no matter"
    may_be_empty = False
    first: Needs = Field(description="Things of the order: [bracket].")
    then: Needs | None = key(
        "Those that they have nothing to do with; left out, all that came after, but for what the file says."
    )
    source: Text | None = key("Who says so, and when.")


class TakenApartEntry(Entry):
    """The order in which it came apart on a job; what nobody gave a reason for is done in it again."""

    called = "how it was taken apart"
    order: Needs | None = key(
        "Parts, {cooler: aside}, joints (head/plug), fluids, tasks, in the order in which they were done."
    )
    free: list[FreeEntry] | None = key("What of that order does not matter.")
    guessed: Needs | None = key("Things whose place in the order was told later, from memory.")
