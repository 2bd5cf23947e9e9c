"""A helper's ten questions, answered from terminal, page and sheet; the guide says where each is answered."""

import html
import re

import pytest

from sequencer.job.desk import By
from sequencer.render.sheet.sheet import sheet_pdf
from tests.bench.conftest import serving
from tests.bench.test_screens import page_of
from tests.cli.conftest import ROOT
from tests.support.profile import before_landing
from tests.views.paper_jobs import flat, pump, text_in

PUMP = ROOT / "examples/bench-pump.yaml"
WAY_IN, WAY_BACK = "the way in", "the way back"
OFF = ("--off", "seal")

TEN = {
    "What comes off before the impeller, and why?": (
        (WAY_IN, ("blockers", PUMP, "--off", "impeller"), ("Pump cover", "Belt guard")),
        (WAY_IN, "/part/cover", "behind Pump cover"),
        "Take off Pump cover · to reach Impeller",
    ),
    "Which bag?": (
        (WAY_IN, ("next", "--stations", "2"), ("into bag 1",)),
        (WAY_IN, "/", "into bag 1"),
        "Undo Belt guard: screws (6 × head T25) Bag 1",
    ),
    "How tight, and in what order?": (
        (WAY_IN, ("refit", PUMP, *OFF), ("4 N.m", "then 9 N.m", "crosswise")),
        (WAY_BACK, "/gate/torque%20cover/bolts", "crosswise, each time the one opposite"),
        "crosswise, each time the one opposite",
    ),
    "What do I need in my hand?": (
        (WAY_IN, ("next", "--stations", "2"), ("T25 bit",)),
        (WAY_IN, "/", "T25 bit A2"),
        "A2 T25 bit",
    ),
    "Where do I stand?": (
        (WAY_IN, ("next",), ("In front of the bench",)),
        (WAY_IN, "/", "In front of the bench by hand A1"),
        "In front of the bench A1 by hand",
    ),
    "May I stop here?": (
        (WAY_IN, ("status",), ("Safe to leave here.",)),
        (WAY_BACK, "/stop", "Not a safe place to leave the machine."),
        "End of sitting 1",
    ),
    "What is closed off, and was it torqued?": (
        (WAY_BACK, ("record",), ("Impeller: nut", "not torqued yet")),
        (WAY_BACK, "/record", "Impeller: nut: open"),
        "DO NOT GO ON before torque: Impeller: nut",
    ),
    "What has to be replaced?": (
        (WAY_IN, ("plan", PUMP, *OFF), ("Renew", "Cover gasket")),
        (WAY_IN, "/overview", "To renew: 4 Outlet O-ring"),
        "Fit new",
    ),
    "What do I do with what only moves aside?": (
        (WAY_IN, ("plan", PUMP, *OFF), ("tie it: Bent up out of the way",)),
        (WAY_IN, "/", "tie it: Bent up out of the way"),
        "tie it: Bent up out of the way",
    ),
    "What can hurt me at this step?": (
        (WAY_IN, ("next",), ("! The lock's key stays in your pocket.",)),
        (WAY_IN, "/", "! The lock's key stays in your pocket."),
        "! The lock's key stays in your pocket.",
    ),
}
"""Each with the command, the page and the sheet, and what stands there."""


def test_the_guide_says_of_each_question_where_its_answer_stands():
    rows = re.findall(
        r"^\| (.+\?) \| (.+) \| (.+) \| (.+) \|$",
        (ROOT / "examples/guide/questions.md").read_text(),
        re.MULTILINE,
    )
    assert [row[0] for row in rows] == list(TEN)
    for (_, terminal, *others), ((_, command, _), *_) in zip(rows, TEN.values(), strict=True):
        assert f"`{command[0]}" in terminal
        assert all(re.search(r"\d (look|tap|turn)", cell) for cell in (terminal, *others))


@pytest.fixture(scope="module")
def ways(tmp_path_factory):
    """The same job twice: before its first step, and turned."""
    with (
        serving(tmp_path_factory.mktemp("in") / "job", PUMP) as there,
        serving(tmp_path_factory.mktemp("back") / "job", PUMP) as back,
    ):
        by = By("Ada", "test")
        back.desk.done([step.operation.name for step in back.desk.plan().steps], by=by)
        back.desk.turn(by=by)
        yield {WAY_IN: there, WAY_BACK: back}


@before_landing
@pytest.mark.parametrize("question", TEN)
def test_an_answer_stands_on_terminal_and_page(question, ways, sequencer, monkeypatch):
    (way, command, needles), (on, path, words), _ = TEN[question]
    monkeypatch.chdir(ways[way].folder)
    ran = sequencer(*command)
    assert ran.code == 0, ran.err
    for needle in needles:
        assert needle in " ".join(ran.out.split()), ran.out
    shown = re.sub(r"<(script|style).*?</\1>|<[^>]+>", " ", page_of(ways[on], path))
    assert flat(words) in flat(html.unescape(shown)).replace("·", ""), shown


@before_landing
def test_every_answer_stands_on_the_sheet():
    text = text_in(sheet_pdf(pump(20)))
    for question, (*_, words) in TEN.items():
        assert flat(words) in text, question


def test_the_picture_answers_the_first_question(sequencer, tmp_path):
    sequencer("draw", PUMP, "--off", "impeller", "-o", tmp_path / "plan.svg")
    drawn = " ".join(re.findall(r">([^<>]+)<", (tmp_path / "plan.svg").read_text()))
    for words in ("Impeller", "Pump cover", "Belt guard", "6 × screws T25"):
        assert words in drawn
