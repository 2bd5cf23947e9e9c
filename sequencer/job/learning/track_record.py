"""What of a machine file jobs have confirmed: which parts came off as it says, on how many jobs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind, subjects
from sequencer.job.desk import Desk
from sequencer.job.journal.card import CARD


@dataclass(frozen=True)
class TrackRecord:
    """What jobs have confirmed.

    Attributes:
        jobs: How many jobs were done by the file.
        last: The day of the last entry in the journal of one of them.
        parts: How often each part came off.
    """

    jobs: int = 0
    last: date | None = None
    parts: Mapping[str, int] = field(default_factory=dict)


def track_record(folders: Iterable[Path], machine: Path) -> TrackRecord:
    """What the jobs in ``folders`` (jobs' folders, or those that hold such) have confirmed of a machine file.

    A job counts whose machine file was copied from ``machine``, or is it, and on which a part came off.

    Raises:
        SequencerError: One of them holds no job, or a journal can't be read.
    """
    days: list[date] = []
    parts: Counter[str] = Counter()
    for folder in dict.fromkeys(one.resolve() for path in folders for one in _jobs(path)):
        with Desk.open(folder) as desk:
            moment = desk.moment()
            if not _is_of(machine, moment.card.origin, desk.folder.machine):
                continue
            off = subjects(moment.state.done, Kind.REMOVE)
            if off:
                parts.update(off)
                days.append(moment.state.history[-1].event.time.astimezone().date())
    return TrackRecord(len(days), max(days, default=None), dict(parts))


def _jobs(path: Path) -> Iterator[Path]:
    found = [path] if (path / CARD).is_file() else [one.parent for one in sorted(path.glob(f"*/{CARD}"))]
    if not found:
        raise SequencerError(
            f"{path} holds no job", "name a job's folder, or the folder that your jobs are in"
        )
    yield from found


def _is_of(machine: Path, origin: str, copy: Path) -> bool:
    wanted = machine.resolve()
    return wanted in (copy.resolve(), *([Path(origin).resolve()] if origin else []))
