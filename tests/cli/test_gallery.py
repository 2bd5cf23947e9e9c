"""The guide's gallery: a picture of each assembly and machine that ships, as the program draws it.

``SEQUENCER_TESTS=nightly UPDATE_GOLDEN=1 pytest tests/cli/test_gallery.py`` draws them all anew, by the
commands that stand on the page.
"""

import os
import re
import shlex
from pathlib import Path

import pytest

from sequencer.machine.assembly.shelf import library
from sequencer.machine.library import folder
from tests.cli.test_draw import words_of
from tests.support.profile import counts

GUIDE = Path(__file__).parents[2] / "examples/guide"
PAGE = (GUIDE / "gallery.md").read_text("utf-8")
COMMANDS = {
    Path(line).stem: shlex.split(told)
    for told, line in re.findall(r"(?m)^`sequencer (draw .* -o (gallery/\S+))`$", PAGE)
}
SOME = ("sump", "timing-belt", "outboard-leg")
"""Tried at once; before a landing every fourth, in the night all."""


@pytest.fixture(autouse=True)
def first_of_june(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")


def test_every_assembly_has_a_picture_there_and_each_is_shown_and_told_in_words():
    files = [*library().glob("*.yaml"), *(one for one in folder().glob("*.yaml") if one.stem in COMMANDS)]
    shipped = {
        file.stem: re.search(r"(?m)^(?:machine|assembly): (.*)$", file.read_text("utf-8"))[1]
        for file in files
    }
    there = {path.stem for path in (GUIDE / "gallery").iterdir()}
    assert set(COMMANDS) == set(shipped) <= there
    for name in there - set(COMMANDS):
        number = name.rpartition("-")[2]
        assert f"[page {number}](gallery/{name}.svg)" in PAGE, (
            "what a picture goes on with is linked beside it"
        )
    for name, label in shipped.items():
        assert f"\n### {label}\n" in PAGE
        assert re.search(
            rf"!\[{re.escape(label)}\b[^\]]*: what is in the way of what\]\(gallery/{name}\.svg\)", PAGE
        )


def test_every_machine_has_one_too_or_waits_for_it_until_the_night():
    waiting = {one.stem for one in folder().glob("*.yaml")} - set(COMMANDS)
    assert len(waiting) <= counts(quick=5, nightly=0), waiting


@pytest.mark.parametrize("name", counts(quick=SOME, landing=sorted(COMMANDS)[::4], nightly=sorted(COMMANDS)))
def test_a_picture_is_what_the_program_draws(name, sequencer, tmp_path):
    folder = GUIDE / "gallery" if os.environ.get("UPDATE_GOLDEN") else tmp_path
    ran = sequencer(*COMMANDS[name][:-1], folder / f"{name}.svg")
    assert (ran.code, ran.err) == (0, "")
    pages = sorted(path.name for path in folder.iterdir() if re.fullmatch(rf"{name}(-\d+)?\.svg", path.name))
    kept = [path.name for path in (GUIDE / "gallery").glob(f"{name}*") if path.name in pages]
    assert sorted(kept) == pages
    for page in pages:
        assert words_of(GUIDE / "gallery" / page) == words_of(folder / page)


def test_a_picture_is_the_same_each_time(sequencer, tmp_path):
    for name in ("one", "two"):
        assert sequencer("draw", "sump", "-o", tmp_path / f"{name}.svg").code == 0
    assert (tmp_path / "one.svg").read_bytes() == (tmp_path / "two.svg").read_bytes()
