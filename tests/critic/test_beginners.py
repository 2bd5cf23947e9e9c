"""Files as people write them on the first evening, with the right verdict at each line.

Those in ``beginners`` were at hand while the rules were written. Those in ``held_out`` were written when the
rules stood: of 95 oddities 90 were found at first sight, with 4 false alarms, 2 of them in one file. Mended
since, by them: all words of a task count, not only those before its first word of place; a fuel tap that is
shut first of all; nobody has to be raised over a pit. Of a second such set of six, half of it written with
care, 21 of 24 were found, with 4 false alarms, 2 of them in one file. One verdict was put right afterwards:
on the scooter fuel runs at the hose, and the washers of a banjo are new.
"""

from pathlib import Path

import pytest

from tests.critic.verdicts import expected, found
from tests.support.profile import before_landing

HERE = Path(__file__).parent
TUNED, HELD_OUT, SECOND = (
    sorted((HERE / name).glob("*.yaml")) for name in ("beginners", "held_out", "second")
)
FILES = [*TUNED, *HELD_OUT, *SECOND]


SOUND = sorted((HERE / "sound").glob("*.yaml"))
"""Files written with care, in which there is nothing to find."""


@pytest.fixture(scope="module")
def judged():
    texts = {path: path.read_text(encoding="utf-8") for path in FILES}
    return {path: (expected(text), found(text, path.name)) for path, text in texts.items()}


def test_there_are_twenty_and_ten_and_six():
    assert (len(TUNED), len(HELD_OUT), len(SECOND)) == (20, 10, 6)


@pytest.mark.parametrize("files", [TUNED, HELD_OUT, SECOND], ids=["tuned", "held-out", "second"])
def test_four_in_five_are_found(files, judged):
    asked = sum(len(judged[path][0]) for path in files)
    hit = sum(len(judged[path][0] & judged[path][1]) for path in files)
    assert hit >= 0.8 * asked


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_at_most_one_false_alarm_a_file(path, judged):
    right, said = judged[path]
    assert len(said - right) <= 1, sorted(said - right)


@before_landing
@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.stem)
def test_nothing_is_said_of_a_file_that_was_written_with_care(path):
    assert len(SOUND) == 5
    assert found(path.read_text(encoding="utf-8"), path.name) == set()
