"""Several people at work on operations that are already chosen: who does what when.

``schedule`` is the door; the words of its question and its answer are in ``problem``.
"""

from sequencer.engine.crew.crew_problem import (
    CrewLimits,
    CrewProblem,
    CrewProgress,
    CrewResult,
    Resource,
    Timetable,
    Turn,
)
from sequencer.engine.crew.schedule import schedule

__all__ = [
    "CrewLimits", "CrewProblem", "CrewProgress", "CrewResult", "Resource", "Timetable", "Turn", "schedule",
]  # fmt: skip
