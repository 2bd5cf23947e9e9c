"""The bar: ten parts around the water pump of an invented van, described in well under sixty answers."""

import pytest

from sequencer.graph.targets import Target
from sequencer.machine import load
from sequencer.machine.survey import Survey
from sequencer.plan import plan_teardown
from tests.machine.survey_replies import PUMP, reply


@pytest.fixture
def described(tmp_path):
    survey = Survey.open(tmp_path / "van.yaml")
    asked = []
    while (question := survey.question) is not None:
        asked.append(question.text)
        survey.answer(question.id, reply(question))
        assert len(asked) < 90
    return survey, asked


def test_ten_parts_around_the_water_pump_take_under_sixty_answers_and_are_planned(described, tmp_path):
    survey, asked = described
    assert survey.finished
    reading = survey.save()
    assert reading.faults == ()
    machine = load(tmp_path / "van.yaml")
    print(f"{len(machine.parts)} parts in {len(asked)} answers")
    assert len(machine.parts) == 10
    assert len(asked) < 60
    assert set(PUMP) <= set(asked), "an answer was prepared to a question that is not asked"
    plan = plan_teardown(machine, [Target("water-pump")])
    off = {step.operation.part for step in plan.steps}
    assert {"water-pump", "pump-pulley", "aux-belt", "front-wheel"} <= off
