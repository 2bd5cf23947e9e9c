"""The toolbox of a person, for the commands that take one."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from sequencer.cli.shared.declared import option

if TYPE_CHECKING:
    from datetime import date, datetime

    from sequencer.plan.closing.toolbox import Equipment
    from sequencer.plan.plan import Plan
    from sequencer.torque.wrenches.toolbox import Toolbox

ToolboxFile = Annotated[
    Path | None,
    option(
        "--toolbox",
        "FILE",
        "Your toolbox file (YAML): shows what is missing, and which torque wrench to set to what.",
    ),
]


def read_toolbox_file(path: Path | None) -> Toolbox | None:
    """The toolbox, where one is named: read before any planning, so that its faults come at once.

    Raises:
        ToolboxError: The file has faults; its text lists them all.
    """
    if path is None:
        return None
    from sequencer.plan.closing.toolbox import load_toolbox

    return load_toolbox(path)


def held_against(plan: Plan, box: Toolbox | None) -> Equipment | None:
    """The plan held against the toolbox as of today."""
    if box is None:
        return None
    from sequencer.plan.closing.toolbox import equipment

    return equipment(plan, box, today())


def today() -> date:
    """The day by which a calibration is overdue or not: today, or that of ``SOURCE_DATE_EPOCH``."""
    from datetime import date

    said = _said_moment()
    return said.date() if said else date.today()


def this_moment() -> datetime:
    """Now, or the moment of ``SOURCE_DATE_EPOCH``."""
    from datetime import UTC, datetime

    return _said_moment() or datetime.now(UTC)


def _said_moment() -> datetime | None:
    """The moment that the variable of the reproducible-builds project says, in seconds since 1970."""
    from datetime import UTC, datetime

    said = os.environ.get("SOURCE_DATE_EPOCH", "")
    known = said.isdecimal() and len(said) <= 11
    return datetime.fromtimestamp(int(said), UTC) if known else None
