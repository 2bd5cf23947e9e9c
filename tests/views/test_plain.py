"""One rule for JSON: what a record writes, what it leaves out, and the schema that its class makes."""

import importlib
import pkgutil
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any, Literal

import jsonschema_rs
import pytest

import sequencer
from sequencer.render import data, export
from sequencer.render.data.plain import FLAT, Record, plain
from sequencer.render.data.schema import schema_of

PACKAGE = Path(sequencer.__file__).parent


class Colour(Enum):
    RED = "red"
    GREEN = "green"


@dataclass
class Bolt:
    size: int
    colour: Colour
    turns: Fraction = Fraction(1, 2)


class BoltData(Record):
    """A bolt."""

    size: Annotated[int, "In mm."]
    colour: Colour


class SetData(Record):
    """Bolts of one make."""

    make: str | None
    on: date


class ShelfData(Record):
    """A shelf."""

    kind: Literal["shelf"]
    set: Annotated[SetData, FLAT]
    weight: Fraction
    bolts: Sequence[BoltData]
    by_name: Mapping[str, BoltData]
    for_: str
    more: Annotated[BoltData | None, FLAT] = None
    note: str | None = None
    facts: Mapping[str, Any]


def shelf(**more):
    given = {
        "kind": "shelf",
        "set": SetData(make=None, on=date(2026, 12, 5)),
        "weight": Fraction(6, 2),
        "bolts": (Bolt(8, Colour.RED), Bolt(10, Colour.GREEN)),
        "by_name": {"one": Bolt(6, Colour.RED)},
        "for_": "the bench",
        "facts": {"half": Fraction(1, 2), "many": (1, None, True)},
    }
    return ShelfData.of(object(), **(given | more))


def test_every_value_is_written_by_one_rule_and_a_default_is_left_out():
    assert shelf().plain() == {
        "kind": "shelf",
        "make": None,
        "on": "2026-12-05",
        "weight": 3,
        "bolts": [{"size": 8, "colour": "red"}, {"size": 10, "colour": "green"}],
        "by_name": {"one": {"size": 6, "colour": "red"}},
        "for": "the bench",
        "facts": {"half": 0.5, "many": [1, None, True]},
    }
    assert list(shelf().plain())[:3] == ["kind", "make", "on"]  # flat keys are among those around them
    assert isinstance(shelf().plain()["weight"], int)


def test_the_type_of_a_key_makes_records_of_what_belongs_in_one():
    class Numbered(Record):
        version: Literal[1]
        size: Sequence[int]

    assert Numbered.of(object(), version=1, size=(number for number in (1, 2))).plain() == {
        "version": 1,
        "size": [1, 2],
    }


def test_what_has_a_default_is_there_where_it_says_something():
    data = shelf(more=Bolt(12, Colour.GREEN), note="top").plain()
    assert (data["size"], data["colour"], data["note"]) == (12, "green", "top")


def test_a_key_that_nothing_gives_and_one_that_nobody_knows_are_faults_of_the_program():
    with pytest.raises(AttributeError):
        BoltData.of(object(), size=3)
    with pytest.raises(KeyError):
        BoltData.of(Bolt(3, Colour.RED), length=3)
    with pytest.raises(TypeError):
        plain(object())


@pytest.mark.parametrize(
    ("change", "valid"),
    [
        ({}, True),
        ({"size": 12, "colour": "green", "note": "top"}, True),
        ({"kind": "box"}, False),
        ({"make": 3}, False),
        ({"on": 5}, False),
        ({"bolts": [{"size": 8}]}, False),
        ({"bolts": [{"size": 8, "colour": "blue"}]}, False),
        ({"by_name": {"one": 1}}, False),
        ({"note": None}, False),
    ],
)
def test_the_schema_takes_what_is_written_and_nothing_else(change, valid):
    schema = schema_of(ShelfData, title="A shelf")
    jsonschema_rs.meta.validate(schema)
    assert jsonschema_rs.Draft202012Validator(schema).is_valid(shelf().plain() | change) is valid
    assert schema["required"] == ["kind", "make", "on", "weight", "bolts", "by_name", "for", "facts"]
    assert schema["$defs"]["BoltData"]["properties"]["size"]["description"] == "In mm."


def kinds(of=Record):
    for kind in of.__subclasses__():
        yield kind
        yield from kinds(kind)


def test_every_kind_of_object_is_explained_and_has_a_schema():
    for room in (data, export):
        for found in pkgutil.walk_packages(room.__path__, f"{room.__name__}."):
            importlib.import_module(found.name)
    shipped = [kind for kind in kinds() if kind.__module__.startswith("sequencer.")]
    assert len(shipped) > 110  # it does look
    for kind in shipped:
        jsonschema_rs.meta.validate(schema_of(kind))
        assert schema_of(kind)["description"].endswith("."), kind


def test_no_command_puts_json_together():
    """It prints what one function made of a record."""
    files = [*PACKAGE.joinpath("cli").rglob("*.py")]
    printed = [line for path in files for line in re.findall(r"\bprint_json\(.*", path.read_text("utf-8"))]
    assert len(printed) > 20  # it does look
    assert [line for line in printed if re.match(r"print_json\([{\[]|.*\*\*", line)] == []
