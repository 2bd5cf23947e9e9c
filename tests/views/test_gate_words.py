"""What the strength guard says of a torque stands at its gate, in every medium, from one value."""

from io import StringIO

import pytest
from rich.console import Console

from sequencer.document.plans.gates import gates_document
from sequencer.document.plans.plan import refit_document
from sequencer.document.steps.cards import refit_cards
from sequencer.engine.problem import Limits
from sequencer.graph.targets import parse_targets
from sequencer.machine import read_text
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.onward.missed import missed_gates
from sequencer.render.data.plans.gates import gates_json
from sequencer.render.data.plans.plan import refit_json
from sequencer.render.terminal import show

LID = """machine: One
parts:
  lid:
    joints:
      bolts: {{kind: bolt, head: 13, thread: M8, class: 8.8, torque: {torque}}}
"""
HIGH = "high: 50 N.m on M8 8.8 is 147% of its proof load"
"""At K 0.2 on 37.5 mm² of 8.8 (proof 600 MPa, ISO 898-1): 50 / (0.2 · 8e-3) = 31.3 kN of 21.2 kN."""


def way_back(torque):
    machine = read_text(LID.format(torque=torque), "one.yaml").machine
    return plan_refit(plan_teardown(machine, parse_targets(machine, ["lid"])))


def printed(document):
    out = StringIO()
    show(document, Console(file=out, width=200))
    return out.getvalue()


@pytest.mark.parametrize("torque", ["50 N.m", "22 N.m"])
def test_a_high_torque_is_called_high_at_its_gate_and_a_usual_one_is_not(torque):
    plan = way_back(torque)
    (gate,) = plan.gates
    (card,) = (step for station in refit_cards(plan) for step in station.steps if step.gate)
    everywhere = [
        gate.remark,
        " ".join(card.gate),
        printed(refit_document(plan)),
        printed(gates_document(plan, missed_gates(plan, Limits()))),
        refit_json(plan)["gates"][0]["remark"],
        gates_json(plan, missed_gates(plan, Limits()))["gates"][0]["remark"],
    ]
    for text in everywhere:
        assert (HIGH in text) == (torque == "50 N.m"), text
