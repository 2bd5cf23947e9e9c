"""What can be done next, either way: asked of each operation by itself."""

from sequencer.plan.onward.present import met, too_late, why_not
from sequencer.plan.onward.present_back import why_not_back


def possible_now(graph, present, ahead=()):
    """The operations of the way in that can be done next, in the order of the file."""
    done = met(graph, present)
    late = too_late(graph, done)
    return tuple(
        name
        for name in graph.needs
        if name not in done and name not in late and not why_not(graph, present, name, ahead)
    )


def possible_back(back, present):
    """The steps of the way back that can be done next."""
    return tuple(name for name in back.graph.operations if not why_not_back(back, present, name))
