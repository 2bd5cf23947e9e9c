"""Files as people write them on the first evening, with the right verdict at each line.

Those in ``beginners`` were at hand while the rules were written.
"""

from pathlib import Path

import pytest

from tests.critic.verdicts import expected, found

HERE = Path(__file__).parent
FILES = sorted((HERE / "beginners").glob("*.yaml"))


@pytest.fixture(scope="module")
def judged():
    texts = {path: path.read_text(encoding="utf-8") for path in FILES}
    return {path: (expected(text), found(text, path.name)) for path, text in texts.items()}


def test_there_are_twenty():
    assert len(FILES) == 20


def test_four_in_five_are_found(judged):
    asked = sum(len(right) for right, _ in judged.values())
    hit = sum(len(right & said) for right, said in judged.values())
    assert hit >= 0.8 * asked


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_at_most_one_false_alarm_a_file(path, judged):
    right, said = judged[path]
    assert len(said - right) <= 1, sorted(said - right)
