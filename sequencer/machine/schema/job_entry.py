"""The shape of a machine's typical jobs."""

from __future__ import annotations

from pydantic import Field

from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import Aims, Text, Texts
from sequencer.machine.schema.key_words import LABEL, key


class JobEntry(Entry):
    """A job that is often done on such a machine."""

    called = "a job"
    may_be_empty = False
    label: Text | None = key(LABEL)
    off: Aims = Field(description="What comes off, as --off takes it: [head], or [motor=loose].")
    for_: Texts | None = key("What it is for: the fault as it shows, in a line or a list.", "for")
    renew: Texts | None = key("What to renew with it by experience, in words; beside what its parts ask for.")
