from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.torque.wrenches.toolbox import Toolbox, missing_tools, plain_head
from sequencer.torque.wrenches.toolbox_file import ToolboxError, read_toolbox

# Invented for these tests.
BOX = {
    "wrenches": {
        "small clicker": {
            "range": "5 to 25 N.m",
            "graduation": 0.5,
            "drive": "1/4 in",
            "accuracy": "4 %",
            "length": "230 mm",
            "calibrated": "2024-03-01",
            "cycles": 1200,
        },
        "long bar": {"range": ["40 lbf.ft", "150 lbf.ft"], "drive": '1/2"'},
    },
    "sockets": {"1/4 in": [7, "8 mm", "10", "T25"], "1/2 in": [13, "E14"], "3/4 in": [36]},
    "drives": ["1/4 in", "1/2 in"],
    "tools": ["long-bar", "Jack", "hex 6"],
}


def where(path):
    return "toolbox.yaml:" + "/".join(map(str, path))


def faults(data):
    with pytest.raises(ToolboxError) as caught:
        read_toolbox(data, where)
    return [str(fault) for fault in caught.value.faults]


def test_a_toolbox_is_read_with_everything_in_it():
    box = read_toolbox(BOX, where)
    small, long = box.wrenches
    assert small.name == "small clicker"
    assert (small.low.newton_metres, small.high.newton_metres) == (5, 25)
    assert small.graduation == Fraction(1, 2)
    assert small.accuracy == Fraction(4, 100)
    assert small.length_mm == 230
    assert small.calibrated == date(2024, 3, 1)
    assert small.cycles == 1200
    assert (long.unit, long.drive, long.graduation) == ("lbf.ft", "1/2 in", None)
    assert box.drives_for("10 mm") == ("1/4 in",)
    assert box.drives_for("t25") == ("1/4 in",)


@pytest.mark.parametrize("text", ["5-25 N.m", "5 – 25 Nm", "5 N.m to 25 N.m", "5..25 N.m", "5 N·m - 25 N·m"])
def test_a_range_is_read_as_people_write_it(text):
    wrench = read_toolbox({"wrenches": {"it": {"range": text}}}, where).wrenches[0]
    assert (wrench.low.newton_metres, wrench.high.newton_metres) == (5, 25)


def test_a_range_in_hyphenated_units_is_read():
    wrench = read_toolbox({"wrenches": {"it": {"range": "20 ft-lb to 150 ft-lb"}}}, where).wrenches[0]
    assert (wrench.unit, wrench.low.value, wrench.high.value) == ("lbf.ft", 20, 150)


def test_days_and_numbers_may_come_as_yaml_has_them_already():
    data = {"wrenches": {"it": {"range": "5 to 25 N.m", "calibrated": date(2024, 1, 2), "accuracy": 0.03}}}
    wrench = read_toolbox(data, where).wrenches[0]
    assert wrench.calibrated == date(2024, 1, 2)
    assert wrench.accuracy == Fraction(3, 100)


@pytest.mark.parametrize("data", [None, {}, {"tools": None}])
def test_an_empty_toolbox_is_a_toolbox(data):
    assert read_toolbox(data, where) == Toolbox()


def test_all_faults_are_told_at_once_each_with_its_place_and_remedy():
    data = {
        "wrenchs": {},
        "wrenches": {
            "a": {"range": "5 to 25", "cycles": "many", "colour": "red"},
            "b": {"range": "25 to 5 N.m", "accuracy": "400 %"},
            "c": {"drive": "1/2 in", "calibrated": "last spring"},
            "d": "5 to 25 N.m",
        },
        "drives": "1/2 in",
    }
    found = faults(data)
    assert found[0] == "toolbox.yaml:wrenchs: 'wrenchs' means nothing here; did you mean wrenches?"
    told = "\n".join(found)
    for says in (
        "toolbox.yaml:wrenches/a/colour: 'colour' means nothing here",
        "toolbox.yaml:wrenches/a/range: '5 to 25' is not the range of a wrench; write its lowest mark",
        "toolbox.yaml:wrenches/a/cycles: 'many' is not a count of clicks; write it as in 'cycles: 1200'",
        "toolbox.yaml:wrenches/b/range: the range '25 N.m' to '5 N.m' does not rise",
        "toolbox.yaml:wrenches/b/accuracy: '400 %' is not an accuracy; write it as in 'accuracy: 4 %'",
        "toolbox.yaml:wrenches/c: the wrench c has no range; write its lowest mark and its full scale",
        "toolbox.yaml:wrenches/d: a mapping is expected here",
        "toolbox.yaml:drives: a list is expected here",
    ):
        assert says in told


def test_a_range_without_a_unit_is_refused():
    assert "toolbox.yaml:wrenches/a/range" in faults({"wrenches": {"a": {"range": [5, 25]}}})[0]


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12) | st.dates(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
WORDS = st.sampled_from(["range", "graduation", "drive", "accuracy", "length", "calibrated", "cycles"])


@given(
    st.dictionaries(st.sampled_from(["wrenches", "sockets", "drives", "tools"]), PLAIN)
    | st.fixed_dictionaries({"wrenches": st.dictionaries(st.text(max_size=5), st.dictionaries(WORDS, PLAIN))})
    | PLAIN
)
def test_whatever_the_file_says_there_is_a_toolbox_or_a_list_of_faults(data):
    try:
        found = read_toolbox(data, where)
    except ToolboxError as error:
        found = error.faults
    if not isinstance(found, Toolbox):
        assert found
        assert all(fault.place and fault.problem for fault in found)


def test_missing_tools_are_those_that_the_box_lacks_each_once():
    box = read_toolbox(BOX, where)
    needed = [
        ("hand", None),
        ("jack", None),
        ("hex-6", None),
        ("10 mm socket", "10"),
        ("17 mm socket", "17"),
        ("17 mm socket", "17"),
        ("36 mm socket", "36"),  # the socket is there, but nothing to turn it with
        ("T25 bit", "T25"),
        ("puller", None),
    ]
    assert missing_tools(needed, box) == ("17 mm socket", "36 mm socket", "puller")


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("13", "13"),
        ("13 mm", "13"),
        ("13mm", "13"),
        ('1/2"', "1/2 in"),
        ("1/2 inch", "1/2 in"),
        ("1/2", "1/2 in"),
        ("T25", "t25"),
    ],
)
def test_a_head_is_compared_in_one_spelling(text, plain):
    assert plain_head(text) == plain
