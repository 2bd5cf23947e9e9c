"""What the entries of a machine file share: how a key is declared, and the lines that explain the keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, TypeVar

from pydantic import BeforeValidator, Field
from pydantic.fields import FieldInfo

from sequencer.machine.schema.entry import Entry
from sequencer.machine.schema.fields import Names, Needs, Paths, Text, Texts
from sequencer.machine.trade import short
from sequencer.machine.trade.links import JOINTS, links
from sequencer.machine.trade.relations import relations

E = TypeVar("E", bound=Entry)


def key(says: str, alias: str | None = None) -> Any:  # noqa: ANN401 - as pydantic's own Field
    """A key that may be left out, with a line that explains it."""
    return Field(default=None, alias=alias, description=says)


def brief(read: Callable[[object], object], also: object) -> BeforeValidator:
    """A key that can be written short: ``read`` makes an entry of it, editors are told of ``also``."""
    return BeforeValidator(read, json_schema_input_type=also)


def with_relations(holder: str, after: str) -> Callable[[type[E]], type[E]]:
    """A class decorator: what a file may list under relations, as keys that follow the field ``after``."""
    return _with(after, [(one.key, Needs | None, one.says) for one in relations(holder)])


def with_links(holder: str, after: str = "") -> Callable[[type[E]], type[E]]:
    """The same for what it may name under links; without ``after``, as the last of its keys."""
    kinds = {JOINTS: Paths | None}
    return _with(after, [(one.key, kinds.get(one.names, Names | None), one.says) for one in links(holder)])


def _with(after: str, keys: list[tuple[str, Any, str]]) -> Callable[[type[E]], type[E]]:
    """Keys, each with what it takes and the line that explains it."""

    def extended(entry: type[E]) -> type[E]:
        own = {name: FieldInfo(annotation=kind, default=None, description=says) for name, kind, says in keys}
        fields = list(entry.__pydantic_fields__.items())
        place = 1 + [name for name, _ in fields].index(after) if after else len(fields)
        entry.__annotations__.update({name: kind for name, kind, _ in keys})  # what inherits looks there
        entry.__pydantic_fields__.clear()
        entry.__pydantic_fields__.update([*fields[:place], *own.items(), *fields[place:]])
        entry.model_rebuild(force=True)
        return entry

    return extended


AGAIN_AFTER = "The part after which it is drained once more; the plug is left out until then."
SEALANT = "What goes on when it is fitted: rtv, or {kind: rtv, assemble_within: 10 min, cure: 24 h}."
LABEL = "What a person calls it."
NOTE = "Free text for whoever takes it apart, or a list; {in: ..., back: ...} to speak to each way."
CAUTION = "What can hurt someone or break something: a text or a list; or {in: ..., back: ...} by ways."
FROM = "The position that it is done from."
TOOL = "A tool under `tools`, or a head: T25, 13, allen 6. Left out for a task: by hand."
TIME = "How long it takes, in seconds unless a unit is given: 90 s, 5 min, 1 h 30 min, 1 to 4 min."
STAGES = "Torques and angles in order: [20 N.m, 40 N.m, 90 deg]."
ORDER = "Labels of the fasteners in the order of tightening."
PATTERN = "Order of tightening where no list is given: spiral, cross, line."
SOURCE = "Where the figure comes from."
OVERRIDE = "Why a torque beyond the fastener's proof is meant all the same."
UNSURE = "Keys that nobody said anything about, so that the usual was taken: [kind]."
VARIES = "What real machines of this type have otherwise, for the survey: {missing: 1 in 4}."
PEOPLE = "How many people it takes; 1."
FOUND = "The day on which it was found on a job, where the author had not drawn it: 2026-11-25."


class SaidEntry(Entry):
    """Texts for those on the way in, and for those on the way back."""

    called = "a text by ways"
    in_: Texts | None = key("For the way in: a text, or a list.", "in")
    back: Texts | None = key("For the way back: a text, or a list.")


_SAID = SaidEntry | Text | list[Text] | None
Caution = Annotated[SaidEntry | None, brief(short.caution, _SAID)]
Note = Annotated[SaidEntry | None, brief(short.note, _SAID)]
