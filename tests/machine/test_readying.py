"""Tasks after others and what a position asks for: the names in them, and what waits for itself."""

import pytest

from tests.machine.texts import faults
from tests.support.readied import STANDS


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("after: [chock]", "after: [chok]", "9:there is no task `chok`; did you mean `chock`?"),
        ("needs: [raise]", "needs: [rise]", "5:there is no task `rise`; did you mean `raise`?"),
        ("needs: [raise]", "needs: [rinse]", "5:there is no task `rinse`; it is a fluid"),
        ("drained: [rinse]", "drained: [wash]", "there is no fluid `wash`; known here: rinse"),
        ("after: [chock]", "after: [raise]", "9:`raise` is after itself; take it out"),
        (
            "chock: {time",
            "chock: {after: [raise], time",
            (
                "10:these wait for one another: `raise`, `chock`; take one of them out of what "
                "another is after or its position needs"
            ),
        ),
        (
            "raise: {after",
            "raise: {from: under, after",
            (
                "5:`raise` has to be done from `under`, where nobody works before it; give it another "
                "`from`, or take it out of what `under` asks for"
            ),
        ),
        ("undo: {time: 3 min}", "undo: {from: under}", "5:`raise` has to be undone from `under`"),
        ("drain: {from: front", "drain: {from: under", "5:`rinse` has to be drained from `under`"),
        ("fill: {from: front", "fill: {from: under", "5:`rinse` has to be filled from `under`"),
        ("chock: {time", "chock: {from: under, time", "these wait for one another: `raise`, `chock`"),
    ],
)  # fmt: skip
def test_each_fault_is_said_at_its_line(old, new, said):
    assert STANDS.count(old) >= 1
    found = faults(STANDS.replace(old, new, 1))
    assert len(found) == 1
    line, _, words = said.partition(":") if said[0].isdigit() else ("", "", said)
    assert found[0].startswith(line)
    assert words in found[0]


def test_a_task_that_is_first_of_all_can_t_be_where_others_come_first():
    found = faults(STANDS.replace("positions:\n", "first: [prop]\npositions:\n", 1))
    assert [fault.split(":")[0] for fault in found] == ["3", "6"]
    assert "these wait for one another: `raise`, `prop`" in found[1]


def test_an_order_of_the_first_tasks_is_no_fault():
    assert faults(STANDS.replace("parts:\n", "first: [raise, chock]\nparts:\n")) == []
