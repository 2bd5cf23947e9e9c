"""Graph and engine put together: the way in, and the way back with its torque gates."""

from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Gate, Refit, Station, Step, Teardown, Totals
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown

__all__ = [
    "Gate", "Prefer", "Refit", "Station", "Step", "Teardown", "Totals", "plan_refit", "plan_teardown",
]  # fmt: skip
