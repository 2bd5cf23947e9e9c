"""Where a view says how a plan shows itself in a notebook: the plan knows no view, so the view comes here.

Importing ``sequencer.render.notebook`` is enough.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequencer.plan.plan import Plan

_shown_by: list[Callable[[Plan], str]] = []


def shown_by(view: Callable[[Plan], str]) -> None:
    """Let ``view`` make the HTML of every plan from now on."""
    _shown_by[:] = [view]


def html(plan: Plan) -> str | None:
    """A plan as HTML, or None where no view has come: a notebook shows its ``repr`` then."""
    return _shown_by[0](plan) if _shown_by else None
