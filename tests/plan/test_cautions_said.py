"""A hazard that the file names itself is said in its words alone; a word in passing silences nothing."""

from pathlib import Path

import pytest

from sequencer.plan.hazards.hazards import hazards
from sequencer.plan.hazards.phrases import says_each

MISREAD = {
    "The no smoking sign sits over the petrol tank.",
    "Battery: the negative lead is the first on the left.",
    "Hot-melt glue: let it cool before you go on.",
    "The cleaner goes on with a glove.",
    "It catches on the oil pan underneath.",
    "Catch it by the handle.",
    "Too heavy for hands: a hoist.",
}
"""Known misreadings; of those in passing none speaks of another hazard's harm."""


def texts() -> list[tuple[str, str, str]]:
    """(passing or says, hazard, text) of each line."""
    found, part = [], ""
    for line in Path(__file__).with_name("caution_texts.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            part = line.strip("[]")
        elif part and line:
            name, text = line.split("|", 1)
            found.append((part, name.strip(), text.strip()))
    return found


def said(name: str, text: str) -> bool:
    return any(one.said_in([text]) for one in hazards() if one.name == name)


def test_a_word_in_passing_silences_no_hazard_and_its_harm_does():
    assert {text for part, name, text in texts() if said(name, text) is (part == "passing")} == MISREAD
    assert len(MISREAD) < 0.04 * len(texts())


def test_every_line_is_about_a_hazard_that_there_is():
    known = {one.name for one in hazards()}
    assert not {name for _, name, _ in texts()} - known


def test_every_hazard_needs_two_words_of_the_file_at_least():
    assert all(len(one.said) >= 2 for one in hazards())


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Switch the motor off.", True),
        ("Off the wall, a motor with its switch.", False),
        ("Switch on, then wait until the lamp is off.", False),
        ("A switch. Off it goes.", False),
    ],
)
def test_the_words_of_a_phrase_stand_in_order_and_close_together(text, says):
    assert says_each(text, ((("switch", "off"),),)) is says
