"""Where one pair of hands is not enough, in words: in a plan's heading, and why at the step itself."""

from __future__ import annotations

from sequencer.graph.said import part_words
from sequencer.job.now.choosing import numbers_text
from sequencer.plan.hazards.hands import hands
from sequencer.plan.plan import Plan
from sequencer.wording import capital, listing


def hands_words(plan: Plan) -> str:
    """``A second pair of hands at step 98; a hoist at steps 3-5, 9.``; empty where one person will do."""
    asked = hands(plan)
    told = [
        f"{what} at {'step' if len(steps) == 1 else 'steps'} {numbers_text(steps)}"
        for what, steps in (("a second pair of hands", asked.second), ("a hoist", asked.hoist))
        if steps
    ]
    return f"{capital('; '.join(told))}." if told else ""


def hands_at(plan: Plan) -> dict[int, tuple[str, ...]]:
    """Why a step asks for more hands, by its number; what is too heavy for one says its caution."""
    asked = hands(plan)
    found: dict[int, tuple[str, ...]] = {
        number: (f"{people} people",) for number, people in asked.people.items()
    }
    for number, names in asked.held.items():
        parts = listing(part_words(plan.machine, name) for name in names)
        found[number] = (
            *found.get(number, ()),
            f"a second pair of hands: nothing else holds {parts} meanwhile",
        )
    return found
