"""What of a machine that was made from a type the work itself has confirmed: whoever undid it has seen it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sequencer.graph.operations import REACHES, Kind
from sequencer.job.journal.edits import EDITS
from sequencer.job.journal.events import EventKind
from sequencer.job.now.moment import Moment

UNSURE = ("from_type", "unsure")
"""The path of the list of what nobody confirmed."""

_AT_JOINTS = (Kind.UNDO, Kind.SLACKEN, Kind.CRACK)
_TOLD = (EventKind.FOUND, EventKind.CORRECTED, EventKind.DID)


def confirmed(moment: Moment) -> dict[str, None]:
    """The joints that were worked on, the parts that were moved, and what was found or corrected of them."""
    done = [op.subject for op in moment.state.done if op.kind in REACHES or op.kind in _AT_JOINTS]
    events = (one.event for kind in _TOLD for one in moment.state.of(kind))
    said = [thing for event in events for thing in _touched(event.body.get(EDITS, ()))]
    return dict.fromkeys((*done, *said))


def _touched(edits: Iterable[Sequence[Any]]) -> Iterable[str]:
    """The parts, and the joints with theirs, of which changes speak."""
    for _, path, *_ in edits:
        if len(path) > 2 and path[0] == "parts":
            yield f"{path[1]}/{path[3]}" if path[2] == "joints" and len(path) > 3 else str(path[1])


def left_unsure(moment: Moment, unsure: object) -> list[str] | None:
    """What of a file's list nobody has confirmed after this job; None where the job confirmed none of it."""
    known = confirmed(moment)
    if not isinstance(unsure, list) or known.keys().isdisjoint(map(str, unsure)):
        return None
    return [str(one) for one in unsure if str(one) not in known]
