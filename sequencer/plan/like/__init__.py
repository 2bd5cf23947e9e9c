"""From a type to a file for your own machine: only what matters to a job is asked, the most telling first.

    survey = open_survey(Path("mine.yaml"), like="delivery-van", off=["water-pump"])

It is a `sequencer.machine.survey.Survey`, with all that goes with one: answers kept beside the file,
``undo``, ``change``, ``don't know``. ``source`` finds the type, ``known`` has what was said,
``worth_asking`` says what a question is worth, ``questions`` asks, ``hearing`` and ``fastened`` take
answers, ``naming`` finds what they name, ``differences`` and ``writing`` make the file.
"""

from sequencer.plan.like.opening import begin_survey, open_survey

__all__ = ["begin_survey", "open_survey"]
