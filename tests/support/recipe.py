"""A relation, a head and an output format that nobody has, and every entrance that has to take them.

Run as a program: the rows are put into the tables before anything else reads them; what each entrance makes
of them is printed as JSON, null where it takes them. ``hollow`` leaves of each row only what names it,
``absent`` leaves out all of it: then the entrances have to fail.
"""

import contextlib
import io
import json
import sys
import tempfile
from datetime import date
from pathlib import Path

from sequencer.machine.trade.tables import table

RELATION = {
    "key": "pinned_under",
    "on": ["part"],
    "says": "What must be clear before it can be lifted; its joints can be reached all the same.",
    "meant": ["weighed_down"],
    "waits": ["aside", "off"],
    "phrase": "pinned under",
    "able": "be lifted",
    "arrow": {"arrowhead": "obox"},
    "legend": "a boxed one from what pins",
    "found": [
        {
            "word": "pins",
            "help": "A part that can't be lifted because of it.",
            "ask": "What can't be lifted because of it",
            "like": "tray",
            "choice": "{part} can't be lifted",
        },
        {
            "word": "pinned",
            "own": True,
            "help": "What pins it.",
            "ask": "What pins it itself",
            "like": "lid",
        },
    ],
    "survey": {
        "scopes": ["pins", "pinned by"],
        "verb": "pins",
        "echo": "before it is lifted",
        "hint": "`pins: weight` where it can't be lifted",
        "remedy": "write `pins: weight` for what lies on it",
    },
}
HEAD = {
    "forms": ["Q{size}", "quadlobe {size}"],
    "size": "mark",
    "sizes": ["4", "6"],
    "usual": ["4", "6"],
    "tool": "quad-{size}",
    "label": "Q{size} bit",
    "drive": "bit-driver",
}
HOLLOW = {"key": "pinned_under", "on": ["part"], "says": "", "waits": [], "phrase": "", "able": ""}
FORMAT = "txt"

MACHINE = """\
machine: Cabinet, invented
positions: {front: {}}
parts:
  lid: {joints: {screws: {kind: screw, head: Q4, count: 4, time: 20 s}}}
  fan: {behind: [{tray: aside}], joints: {nut: {kind: nut, head: 10}}}
  tray:
    weight: 20 kg
    pinned_under: [lid]
    aside: {joints: [clip]}
    joints: {clip: {kind: clip}}
"""
ENTRANCES = {}


def entrance(name):
    """An entrance by its name: a function of a folder that fails where it does not take what is made up."""

    def named(function):
        ENTRANCES[name] = function
        return function

    return named


def run(*arguments):
    """What a command says, both ways; its code first."""
    from sequencer.cli.app import main

    out, code = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), 0
    sys.argv = ["sequencer", *map(str, arguments)]
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
    out.flush()
    return code, " ".join(out.buffer.getvalue().decode().split())


def said(*arguments):
    """What a command says that has to end well."""
    code, text = run(*arguments)
    assert code == 0, text
    return text


def has(text, *pieces):
    """Each piece is in the text."""
    for piece in pieces:
        assert piece in text, f"{piece!r} is not in {text[:2000]!r}"


def written(folder, text=MACHINE, name="cabinet.yaml"):
    """A machine file in a folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def machine(text=MACHINE):
    """A machine without faults."""
    from sequencer.machine import read_text

    reading = read_text(text, "cabinet.yaml")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine


def faults(text):
    """The faults of a file, each in one line."""
    from sequencer.machine import read_text

    return "\n".join(str(fault) for fault in read_text(text, "cabinet.yaml").faults)


def job(folder, *off):
    """A desk at a new job on the machine."""
    import sequencer

    path = written(folder)
    made = sequencer.plan_removal(sequencer.read_machine(path), off=off or ("tray",))
    return sequencer.begin_job(folder / "job", made, person="Ann", device="bench")


def places(plan):
    """The place of each step in the order, by its name."""
    return {step.operation.name: place for place, step in enumerate(plan.steps)}


# ---- The relation ----


@entrance("check")
def _(_folder):
    machine()
    has(faults(MACHINE.replace("[lid]", "[lit]")), "cabinet.yaml:8", "there is no part `lit`", "`lid`")
    has(faults(MACHINE.replace("[lid]", "[tray]")), "`tray` is pinned under itself")
    has(faults(MACHINE.replace("pinned_under:", "weighed_down:")), "did you mean `pinned_under`?")


@entrance("schema")
def _(_folder):
    from sequencer.machine import json_schema

    keys = json_schema()["$defs"]["PartEntry"]["properties"]
    has(keys["pinned_under"]["description"], "before it can be lifted")


@entrance("graph")
def _(_folder):
    import sequencer

    graph = sequencer.operations_graph(machine())
    for move in ("remove tray", "move-aside tray"):
        assert graph.edges["remove lid", move]["reason"].kind.key == "pinned_under"
    assert not graph.has_edge("remove lid", "undo tray/clip")


@entrance("plan and refit")
def _(_folder):
    import sequencer

    into = sequencer.plan_removal(machine(), off=["fan"])
    back = sequencer.plan_refit(into)
    there, home = places(into), places(back)
    assert there["remove lid"] < there["move-aside tray"]
    assert home["move-back tray"] < home["fit lid"]


@entrance("plan and refit, by another name")
def _(_folder):
    import sequencer
    from tests.support.random_machines import random_machine

    for number in (6, 8, 13, 15):  # machines whose plans are others without the relation
        text, targets = random_machine(number, 5)
        wanted = {verb: [what for how, what in targets if how == verb] for verb in ("off", "reach")}
        plans = []
        for one in (text, text.replace("trapped_by", "stuck_under")):
            into = sequencer.plan_removal(machine(one), **wanted)
            plans.append([places(plan) for plan in (into, sequencer.plan_refit(into))])
        assert plans[0] == plans[1], text


@entrance("explain")
def _(folder):
    path = written(folder, MACHINE.replace("  lid: {", "  lid: {pinned_under: [tray], "))
    code, text = run("plan", path, "--off", "fan")
    assert code != 0
    has(text, "lid has to be off before tray can be lifted", "tray has to be off before lid can be lifted")


@entrance("blockers")
def _(folder):
    has(said("blockers", written(folder), "--off", "tray"), "before tray can be lifted")


@entrance("JSON and its schema")
def _(folder):
    import jsonschema_rs

    from sequencer.render.data.plans.blockers import BlockersData
    from sequencer.render.data.schema import schema_of

    _, text = run("blockers", written(folder), "--off", "tray", "--json")
    made = json.loads(text)
    assert "pinned_under" in {call["relation"] for thing in made["things"] for call in thing["calls"]}
    jsonschema_rs.Draft202012Validator(schema_of(BlockersData)).validate(made)


@entrance("draw")
def _(folder):
    said("draw", written(folder), "--off", "tray", "-o", folder / "tray.dot")
    has((folder / "tray.dot").read_text(), "arrowhead=obox", "a boxed one from what pins")


@entrance("terminal, sheet and export")
def _(folder):
    from pypdfium2 import PdfDocument

    look = "last look: it is free of lid"
    path = written(folder)
    has(said("plan", path, "--off", "tray"), look)
    has(said("export", path, "--off", "tray", "--format", "md"), look)
    said("sheet", path, "--off", "tray", "-o", folder / "sheet.pdf")
    pages = [page.get_textpage().get_text_bounded() for page in PdfDocument(folder / "sheet.pdf")]
    has(" ".join(" ".join(pages).split()), look)


@entrance("survey")
def _(_folder):
    from sequencer.machine.survey import Survey

    survey = Survey()
    for question, text in (
        ("machine", "Invented cabinet"), ("off", "tray, drawer"), ("parts/tray/way", "lid pins it"),
        ("parts/lid/way", "pins: weight"),
    ):  # fmt: skip
        asked = next(one for one in survey.open_questions if one.id == question)
        echo = survey.answer(question, text)
        if question.endswith("way"):
            has(asked.hint, "`pins: weight` where it can't be lifted")
            has(echo, "before it is lifted")
    has(survey.machine_text(), "pinned_under: [lid]", "pinned_under: [weight]")


@entrance("found")
def _(folder):
    from sequencer.job.changes.finds import Find, asked

    has(said("found", "--help"), "--pins", "--pinned")
    questions = []
    told = asked(lambda question, _example: questions.append(question) or "tray")
    assert {"What can't be lifted because of it", "What pins it itself"} <= {*questions}
    assert told.said["pins"] == told.said["pinned"] == ("tray",)
    with job(folder) as desk:
        desk.found(Find("stay", {"pins": ("tray",)}, held=("screw Q4 x2",)), date(2026, 11, 29))
        desk.found(Find("strap", {"blocks": ("tray",), "pinned": ("stay",)}), date(2026, 11, 29))
        has(desk.folder.machine.read_text(), "pinned_under: [lid, stay]", "pinned_under: [stay]")
        assert places(desk.plan())["remove stay"] < places(desk.plan())["remove tray"]


@entrance("found, at the command line")
def _(folder):
    with job(folder) as desk:
        at = desk.folder.path
    said("found", "stay", "--pins", "tray", "--held", "screw Q4", "--job", at)
    has((at / "cabinet.yaml").read_text(), "pinned_under: [lid, stay]")


@entrance("learn")
def _(folder):
    from sequencer.job.changes.finds import Find
    from sequencer.job.learning.learning import offers, write

    with job(folder) as desk:
        desk.found(Find("stay", {"pins": ("tray",)}), date(2026, 11, 29))
        made = offers(desk.moment(), "Ann", folder / "cabinet.yaml")
    assert "tray is pinned under stay" in [one.words for one in made], made
    write(folder / "cabinet.yaml", made)
    has((folder / "cabinet.yaml").read_text(), "pinned_under: [lid, stay]")


@entrance("done and did")
def _(folder):
    from sequencer.job.desk import RefusedError

    with job(folder) as desk:
        desk.done(["undo tray/clip"])
        try:
            desk.done(["remove tray"])
        except RefusedError as fault:
            has(str(fault), "lid has to be off before tray can be lifted")
        else:
            raise AssertionError("the tray came off under the lid")
        desk.did("lid off")
        desk.did("tray off")
        assert {"remove lid", "remove tray"} <= {*desk.state().done}


@entrance("page")
def _(folder):
    from sequencer.bench.access.pairing import Sessions
    from sequencer.bench.app import page
    from tests.support.door import HERE, Door

    with job(folder) as desk:
        at = desk.folder.path
    sessions = Sessions(folder / "devices.json")
    door = Door(page(at, sessions, HERE), sessions)
    try:
        has(door.ask("GET", "/found?part=tray").text, 'value="pins"', "tray can&#39;t be lifted")
        answer = door.post("/found", {"blocks": "tray", "what": "stay", "how": "pins"})
        assert answer.status_code < 400, answer.text
    finally:
        door.close()
    has((at / "cabinet.yaml").read_text(), "pinned_under: [lid, stay]")


@entrance("scan")
def _(_folder):
    from sequencer.graph.geometry import scan

    boxed = "    box: {at: [0, 0, 0], size: [10, 10, 10]}\n    out: +z\n    weight"
    text = MACHINE.replace("    weight", boxed)
    for height, agreed, doubts in ((20, [10], []), (-20, [], [("tray", "pinned_under")])):
        box = f"  lid: {{box: {{at: [0, 0, {height}], size: [10, 10, 10]}}, "
        made = scan(machine(text.replace("  lid: {", box)))
        assert [one.written.line for one in made.agreed] == agreed, made
        assert [(one.holder, one.key) for one in made.doubts] == doubts, made


@entrance("edit")
def _(_folder):
    from sequencer.machine.edit import Editor
    from sequencer.machine.model import Atom

    editor = Editor(text=MACHINE)
    editor.add_need("fan", "pinned_under", Atom("lid"))
    assert [str(need) for need in editor.read().machine.parts["fan"].under("pinned_under")] == ["lid"]
    editor.remove_need("fan", "pinned_under", "lid")
    assert editor.text == MACHINE


@entrance("critic")
def _(_folder):
    import sequencer

    shelf = MACHINE + "  shelf: {loose: true, joints: {bolt: {kind: bolt, head: 10}}}\n"
    for text, odd in ((shelf, False), (shelf.replace("[lid]", "[lid, {shelf: loose}]"), True)):
        found = {one.code.value for one in sequencer.find_oddities(machine(text))}
        assert ("state-fast" in found) is odd, found


# ---- The head ----


@entrance("head: file, plan and toolbox")
def _(folder):
    path = written(folder)
    has(said("plan", path, "--off", "lid"), "Q4 bit")
    box = folder / "toolbox.yaml"
    for owned, missing in (("Q4", False), ("Q6", True)):
        box.write_text(f"sockets: {{1/4 in: [{owned}, 10]}}\ndrives: [1/4 in]\n")
        assert ("MISSING" in said("tools", path, "--off", "lid", "--toolbox", box)) is missing


@entrance("head: survey")
def _(_folder):
    from sequencer.machine.survey import Survey

    survey = Survey()
    for question, text in (("machine", "Cabinet"), ("off", "lid"), ("parts/lid/held", "3 quadlobe 6 screws")):
        survey.answer(question, text)
    has(survey.machine_text(), "head: Q6", "count: 3")


@entrance("head: found and told")
def _(folder):
    from sequencer.job.changes.finds import held

    assert held("screw quadlobe 4 x2") == {"kind": "screw", "head": "Q4", "count": 2}
    said("new", folder / "bare", "--off", "tray")
    said("did", "lid off, 3 screws Q6", "--job", folder / "bare")
    has((folder / "bare" / "machine.yaml").read_text(), "head: Q6", "count: 3")


# ---- The output format ----


@entrance("format")
def _(folder):
    path = written(folder)
    has(said("export", "--help"), f".{FORMAT}")
    assert said("export", path, "--off", "lid", "--format", FORMAT) == "Cabinet, invented"
    said("export", path, "--off", "lid", "-o", folder / f"lid.{FORMAT}")
    assert (folder / f"lid.{FORMAT}").read_text() == "Cabinet, invented"
    has(run("export", path, "--off", "lid", "-o", folder / "lid.doc")[1], f".{FORMAT}")


def put_in(how):
    """Put the rows into the tables, whole, ``hollow`` or not at all."""
    if how == "absent":
        return
    whole = how == "whole"
    rows = table("relations")["relation"]
    trapped = next(row for row in rows if row["key"] == "trapped_by")
    other = trapped | {"key": "stuck_under", "found": [], "waits": trapped["waits"] if whole else []}
    rows += [RELATION if whole else HOLLOW, other]
    hollow = HEAD | {"forms": ["Q{size}"], "sizes": ["4"], "label": ""}
    table("heads")["head"].append(HEAD if whole else hollow)
    from sequencer.render import export

    if whole:
        export.FORMATS[FORMAT] = lambda made, _starts: made.machine.name.encode()


def main(how):
    """What each entrance makes of the rows, by its name."""
    put_in(how)
    answers = {}
    for name, enter in ENTRANCES.items():
        with tempfile.TemporaryDirectory() as folder:
            try:
                enter(Path(folder))
            except Exception as fault:  # noqa: BLE001 - whatever it is, this entrance does not take them
                answers[name] = f"{type(fault).__name__}: {fault}"
            else:
                answers[name] = None
    sys.stdout.write(json.dumps(answers))


if __name__ == "__main__":
    main(sys.argv[1])
