"""What the critic finds: a value, made of a code, facts and a place. Its words are made in ``document``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from sequencer.machine.model import Fluid, Joint, Part, Place, Position, Task


class Severity(Enum):
    """What it can come to; the worst first."""

    HURTS = "hurts"
    """Somebody is hurt, or something destroyed."""
    COSTS = "costs"
    """Hours, or a comeback."""
    AWKWARD = "awkward"
    """It can be done, and nobody would."""

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return list(Severity).index(self)


class Code(Enum):
    """The oddities; the value is the name by which every surface calls it."""

    WEIGHT_MISSING = "weight-missing"
    NO_SUPPORT = "no-support"
    ONE_PERSON = "one-person"
    HELD_BY_LITTLE = "held-by-little"
    NOTHING_CARRIED = "nothing-carried"
    STAYS = "stays"
    POSE_FLUID = "pose-fluid"
    POSE_OIL = "pose-oil"
    POSE_TASK = "pose-task"
    POSE_JOINTS = "pose-joints"
    POSE_LOOSE = "pose-loose"
    POSE_SUPPORT = "pose-support"
    PLACE_TOO_EARLY = "place-too-early"
    BENCH_FITTED = "bench-fitted"
    DRAIN_PLUG = "drain-plug"
    DRAINED_BY_HAND = "drained-by-hand"
    FILL_LEVEL = "fill-level"
    OIL_FILTER = "oil-filter"
    NOT_WET = "not-wet"
    NO_FLUID = "no-fluid"
    WET_PLUG = "wet-plug"
    RUNS_OVER = "runs-over"
    STRUT_LATE = "strut-late"
    NO_PROOF = "no-proof"
    NO_FIRST_RUN = "no-first-run"
    RUN_OPEN = "run-open"
    SET_OPEN = "set-open"
    RUN_DEAD = "run-dead"
    RUN_PROPPED = "run-propped"
    EARTH_CHECK = "earth-check"
    OFF_MARK = "off-mark"
    REMOVAL_TOOL = "removal-tool"
    COUNTER_HOLD = "counter-hold"
    CRACK_HOLD = "crack-hold"
    CRACK_SLACK = "crack-slack"
    HOLDER_AWAY = "holder-away"
    NO_TAPER = "no-taper"
    TAPER_NUT = "taper-nut"
    KEY_FIRST = "key-first"
    OLD_GASKET = "old-gasket"
    NO_RENEWAL = "no-renewal"
    TENSION = "tension"
    FEET_FIRST = "feet-first"
    BEHIND_BELT = "behind-belt"
    BEHIND_WHOLE = "behind-whole"
    TIME = "time"
    SEIZED = "seized"
    STATE_FAST = "state-fast"
    FREES_NOTHING = "frees-nothing"
    LATE_TORQUE = "late-torque"
    HUNG = "hung"
    TWO_LOADS = "two-loads"
    HALF_HELD = "half-held"
    ON_DOWELS = "on-dowels"
    FORCED = "forced"
    HANGS_BY = "hangs-by"
    SPRING_LAST = "spring-last"
    UNDONE_TIGHT = "undone-tight"
    WHEN_ALONE = "when-alone"
    LEFT_HANGING = "left-hanging"
    OVERHEAD = "overhead"
    PANEL_PLUG = "panel-plug"


Named = Part | Joint | Task | Fluid | Position
"""What has a name, and may have a label."""

Fact = str | int | float | tuple[str, ...]
"""A name out of the file, a figure, or several names."""


@dataclass(frozen=True)
class Finding:
    """An oddity of a machine file, or of an order of work.

    Attributes:
        place: Where the file speaks of it.
        section: Where that stands in the file: ``parts``, ``joints``, ``tasks``, ``fluids``, ``positions``.
        about: What it is about, as the file names it; a joint as ``part/joint``. It is found once for each.
        facts: What its words are made of, by name.
    """

    code: Code
    severity: Severity
    place: Place
    section: str
    about: str
    facts: Mapping[str, Fact] = field(default_factory=dict)


def finding(
    code: Code, severity: Severity, about: Named, *, at: Place | None = None, **facts: Fact
) -> Finding:
    """A finding with its facts by name; its place is where the file speaks of the thing, or ``at``."""
    place = at or about.place
    assert place is not None, "a position that no file names is no oddity"
    name = about.path if isinstance(about, Joint) else about.name
    return Finding(code, severity, place, _SECTIONS[type(about)], name, facts)


_SECTIONS: dict[type[Named], str] = {
    Part: "parts",
    Joint: "joints",
    Task: "tasks",
    Fluid: "fluids",
    Position: "positions",
}
