"""A plan beside the order of the file, in a sentence."""

from __future__ import annotations

from sequencer.document.words import duration, plural
from sequencer.plan.plan import Teardown


def compared_words(plan: Teardown) -> str:
    """What taking the file from top to bottom would cost, and what this order saves; empty where unknown."""
    other = plan.top_to_bottom
    if other is None:
        return ""
    saved = other.seconds - plan.totals.seconds
    if saved:
        verdict = f"this order {'saves' if saved > 0 else 'costs'} {duration(abs(saved))}"
    else:
        verdict = "this order takes the same time"
    return (
        f"Taking the file from top to bottom: {duration(other.seconds)}, "
        f"{plural(other.tool_changes, 'tool change')}, "
        f"{plural(other.reach_arounds, 'reach-around')}; {verdict}."
    )
