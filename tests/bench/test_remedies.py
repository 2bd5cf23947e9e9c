"""What the page says to do: its own words for its own user, by a fault's code and never by its sentence."""

import ast
import re
from pathlib import Path

import pytest

import sequencer
from sequencer.bench.remedies import REMEDIES, for_a_thumb
from sequencer.errors import SequencerError
from sequencer.job.desk import By, RefusedError
from tests.bench.conftest import make_job
from tests.support.profile import before_landing

PACKAGE = Path(sequencer.__file__).parent
COMMAND = re.compile(
    r"--[a-z]|\bsequencer [a-z]|\b(?:undo|done|skip) (?:\d|\{|$)|\bsee (?:next|status|log)\b"
    r"|\b(?:did|where|found|also|ask|leftover|note) [\"']"
)
REACHED = ("document", "graph", "job", "machine", "plan", "spoken", "torque")
"""The rooms whose refusals a person at the page meets."""
WITH_A_CODE = ("CuringError",)
"""Errors that give themselves their code."""
ELSEWHERE = (
    *("job/changes/bare.py", "job/journal/folder.py", "job/learning/learning.py", "graph/geometry/"),
    *("machine/incoming.py", "machine/catalogue.py", "torque/wrenches/calculator.py", "plan/crew/"),
    *("plan/like/opening.py", "document/steps/torques.py", "plan/evenings/wish.py"),
)
"""But not these: no page makes a job or learns from it, scans a shape, takes in a file, begins a survey,
reckons with a torque or shares a plan out; of the library it says that nothing has that name."""


def faults_made(rooms, word="Error"):
    """Every place where an error is made, in files that have ``word``: its file and line, and the call."""
    for room in rooms:
        for path in sorted((PACKAGE / room).rglob("*.py")):
            text = path.read_text(encoding="utf-8")
            for node in ast.walk(ast.parse(text)) if word in text else ():
                if isinstance(node, ast.Call) and (is_error(node.func) or is_init_of_base(node.func)):
                    yield f"{path.relative_to(PACKAGE)}:{node.lineno}", node


def is_error(func):
    return getattr(func, "id", "").endswith("Error") and func.id not in WITH_A_CODE


def is_init_of_base(func):
    return getattr(func, "attr", "") == "__init__"


def text_of(node):
    """The text that stands in a remedy, whatever is put into it marked by a brace."""
    return "".join(
        piece.value if isinstance(piece, ast.Constant) else "{"
        for piece in ast.walk(node)
        if isinstance(piece, ast.FormattedValue | ast.Constant)
        and isinstance(getattr(piece, "value", ""), str | ast.AST)
    )


def code_of(call):
    """The code that an error is made with; an error of a kind with a code of its own has that."""
    return next((word.value.value for word in call.keywords if word.arg == "code"), "")


@before_landing
def test_every_code_has_words_on_the_page_and_every_word_a_fault():
    codes = {code_of(call) for _, call in faults_made(["."], 'code="')} - {""}
    assert codes == set(REMEDIES)


@before_landing
def test_whoever_names_a_command_gives_a_code_that_the_page_words_anew():
    naming = {
        where: code_of(call)
        for where, call in faults_made(REACHED)
        if len(call.args) > 1 and COMMAND.search(text_of(call.args[1]))
    }
    assert len(naming) > 10  # it does look
    bare = {where for where, code in naming.items() if not code and not where.startswith(ELSEWHERE)}
    assert not bare


@before_landing
def test_what_is_wrong_is_said_without_a_command_whose_it_may_not_be():
    said = {
        where: text_of(call.args[0])
        for where, call in faults_made([one.name for one in PACKAGE.iterdir() if one.name != "cli"])
        if call.args and COMMAND.search(text_of(call.args[0]))
    }
    assert {where: text for where, text in said.items() if not where.startswith("document/steps/tor")} == {}


def test_no_remedy_of_the_page_names_a_command():
    assert [code for code, words in REMEDIES.items() if COMMAND.search(words)] == []


def test_a_file_is_called_by_its_name_alone():
    fault = SequencerError("this can't be read", "put it back", at=Path("/home/ada/jobs/van/journal.db"))
    assert str(fault) == "/home/ada/jobs/van/journal.db: this can't be read; put it back"
    assert for_a_thumb(fault) == "journal.db: this can't be read; put it back"


@pytest.fixture
def desk(tmp_path):
    from sequencer.job.desk import Desk

    make_job(tmp_path / "job")
    opened = Desk.open(tmp_path / "job", By("Ada", "test"))
    yield opened
    opened.close()


def refused(act):
    with pytest.raises(RefusedError) as said:
        act()
    return said.value


@before_landing
def test_a_gate_that_stays_open_says_what_to_tap(desk):
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    for _, op in desk.state().left:
        if op.startswith("torque "):
            break
        desk.done([op])
    fault = refused(lambda: desk.done([op], torque="900 N.m"))
    assert "--torque READING" in str(fault)
    assert for_a_thumb(fault).endswith("; read it again, or close it without a reading and say why")
    assert for_a_thumb(fault).startswith(f"{fault.problem}; ")


def test_a_step_that_cannot_be_yet_names_the_one_before_it(desk):
    fault = refused(lambda: desk.done(["remove seal"]))
    assert "first come steps" in str(fault)
    assert re.search(r"; do steps? [\d, -]+ first; if it is really done, say so under", for_a_thumb(fault))


def test_what_rests_on_a_tick_goes_first(desk):
    first, second = [op for _, op in desk.state().left][:2]
    desk.done([first, second])
    fault = refused(lambda: desk.undo(desk.state().number(first)))
    assert for_a_thumb(fault).endswith("rests on it; take that back first")
