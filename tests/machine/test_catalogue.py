"""What ships with the program: listed, searched by words, shown whole, drawn small."""

import xml.etree.ElementTree as ET

import pytest

import sequencer
from sequencer.cli.app import app
from sequencer.errors import SequencerError
from sequencer.machine.assembly.shelf import shipped
from sequencer.machine.catalogue import model_called, models, search
from sequencer.machine.layers import layers
from sequencer.machine.library import folder
from sequencer.machine.reading import load
from sequencer.render.pictures.layers import WIDTH, layers_picture
from tests.support.profile import before_landing


@pytest.fixture(scope="module")
def known():
    return models()


@before_landing
def test_everything_that_ships_is_in_it_machines_first(known):
    machines = sorted(path.stem for path in folder().glob("*.yaml"))
    assert [one.name for one in known] == [*machines, *shipped()]
    assert all(one.label and one.about and one.parts for one in known)
    assert sequencer.models() == known


def test_it_says_the_same_as_the_file_read_whole(known):
    model, machine = model_called(known, "delivery-van"), load(folder() / "delivery-van.yaml")
    assert [job.off for job in model.jobs] == [job.off for job in machine.jobs.values()]
    assert [name for name, _ in model.parts] == list(machine.parts)


@pytest.mark.parametrize(
    ("words", "first", "hit"),
    [
        ("delivery van", "delivery-van", "job: Head gasket"),
        ("Water Pump", "water-pump", "part: Water pump"),
        ("waterpump", "water-pump", "part: Water pump"),
        ("deck spindle bearing", "garden-tractor", "job: Spindle bearings"),
        ("thermostst", "thermostat-housing", "part: Thermostat"),
        ("head gaskt", "delivery-van", "job: Head gasket"),
        ("seal mould", "washing-machine", "job Door seal: A puddle"),
    ],
)
def test_words_find_it_slips_and_all(known, words, first, hit):
    from sequencer.document.catalogue import hit_lines

    found = search(known, words)
    assert found[0].model.name == first
    assert found[0].whole
    if words != "delivery van":
        assert any(line.startswith(hit) for line in hit_lines(found[0])), list(hit_lines(found[0]))


def test_what_has_only_some_of_the_words_comes_only_if_nothing_has_all(known):
    assert {hit.whole for hit in search(known, "drum bearing")} == {True}
    some = search(known, "drum zebra")
    assert some
    assert not any(hit.whole for hit in some)
    assert search(known, "zebra") == search(known, "  ") == ()


def test_a_name_that_does_not_ship_says_where_the_list_is(known):
    with pytest.raises(SequencerError, match="sequencer models lists what does"):
        model_called(known, "submarine")


def test_layers_go_from_outside_in_by_the_least_of_several_ways_and_past_circles():
    file = {
        "lid": {},
        "fuse": {"behind": ["lid"]},
        "core": {"trapped_by": [{"any": ["fuse", "lid"]}], "joints": {"nut": {"behind": "core/clip"}}},
        "clip": {"joints": {"a": {"behind": [{"fuse": "loose"}]}}},
        "one": {"behind": ["other"]},
        "other": {"behind": ["one"]},
    }
    found = layers(file)
    assert found[0][0] == "lid"
    assert found[1][:2] == ("fuse", "core")
    assert "clip" in found[2]
    assert sorted(name for names in found for name in names) == sorted(file)


def test_every_picture_is_whole_and_small(known):
    for model in known:
        drawn = ET.fromstring(layers_picture(model))
        texts = drawn.iterfind("{http://www.w3.org/2000/svg}text")
        for text in texts:
            room = WIDTH - float(text.get("x"))
            assert len(text.text) * 0.6 * float(text.get("font-size")) <= room + 1, text.text


@before_landing
def test_the_command_lists_finds_shows_and_draws(known, tmp_path):
    from typer.testing import CliRunner

    def run(*words):
        ran = CliRunner().invoke(app, ["models", *words], env={"COLUMNS": "100"})
        assert ran.exit_code == 0, ran.output
        return ran.output

    assert all(f"\n  {one.name}  " in run() for one in known[:2])
    assert "renewed with" in run("auxiliary", "belt")
    shown = run("washing-machine")
    assert [
        one in shown for one in ("--job door-seal", "From outside in", "What varies between real ones")
    ] == [True] * 3
    assert "must be given" in run("wheel-end")
    assert run("bearing", "--json").count('"hits"') > 1
    run("wheel-end", "-o", str(tmp_path / "w.svg"))
    assert (tmp_path / "w.svg").read_text("utf-8").startswith("<svg")
