"""What the README and the guide say is so: examples run, excerpts match, keys and options are explained."""

import difflib
import doctest
import os
import re
import subprocess
import sys
import tomllib
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path

import pytest
import typer
from ruamel.yaml import YAML

from sequencer.cli.app import app
from sequencer.cli.before.crew import WORK
from sequencer.machine.reading import read_text
from sequencer.machine.schema.entries import Entry, entry_at
from sequencer.machine.trade.heads import tool_for
from tests.support.profile import at_night, before_landing
from tests.support.shell import commands_in, run_lines

ROOT = Path(__file__).resolve().parent.parent
GUIDE = ROOT / "examples" / "guide"
PAGES = [ROOT / "README.md", ROOT / "examples" / "README.md", *sorted(GUIDE.glob("*.md"))]
FORMAT_PAGE = (GUIDE / "machine-file.md").read_text(encoding="utf-8")
ASSEMBLY_PAGE = (ROOT / "examples/guide/assemblies.md").read_text(encoding="utf-8")
COMMANDS_PAGE = "\n".join(page.read_text(encoding="utf-8") for page in sorted(GUIDE.glob("*.md")))
COMMANDS = typer.main.get_command(app).commands


@dataclass(frozen=True)
class Block:
    """A fenced block: the comment before it, what it is written in, and where it is."""

    page: Path
    line: int
    language: str
    text: str
    comment: str

    def __str__(self):
        return f"{self.page.relative_to(ROOT)}:{self.line}"


def blocks(page):
    found, fence, comment = [], None, ""
    for number, line in enumerate(page.read_text(encoding="utf-8").splitlines(), start=1):
        if line.startswith("```") and fence is None:
            fence = (number, line[3:].strip(), [])
        elif line.startswith("```"):
            found.append(Block(page, fence[0], fence[1], "\n".join(fence[2]), comment))
            fence, comment = None, ""
        elif fence is not None:
            fence[2].append(line)
        elif line.startswith("<!--"):
            comment = line.strip("<!->").strip()
        elif line.strip():
            comment = ""
    assert fence is None, f"{page}: a fence is open at its end"
    return found


BLOCKS = [block for page in PAGES for block in blocks(page)]


def shell_examples():
    """Every shell block but those that install, with the text block right after it, if there is one."""
    for block, after in zip(BLOCKS, [*BLOCKS[1:], None], strict=True):
        if block.language == "sh" and not block.comment.endswith("command"):
            follows = after is not None and after.page == block.page and after.language == "text"
            yield pytest.param(block, after if follows else None, id=str(block))


@pytest.fixture
def workplace(tmp_path):
    for name in ("examples", "models"):
        (tmp_path / name).symlink_to(ROOT / name)
    return tmp_path


IN_A_SHELL = ("<<", "check examples/guide/faulty.yaml\n", "refit examples/bench-pump.yaml --off seal\n")
"""What four of the examples have and no other: these run in a real shell, the others in this process."""


def needs_a_shell(block):
    return any(mark in f"{block.text}\n" for mark in IN_A_SHELL)


def test_four_examples_run_in_a_real_shell_and_the_others_can_do_without():
    examples = [example.values[0] for example in shell_examples()]
    assert sum(map(needs_a_shell, examples)) == 4
    assert [
        str(block) for block in examples if not needs_a_shell(block) and commands_in(block.text) is None
    ] == []


LONGER = (
    "<<",
    "-o job.ics",
    "-o plan.png",
    "--sitting 35min",
    "--people 2",
    "--sitting 90min",
    "ask 1 only",
    "-o job.pdf",
    "-o ribbon.svg",
    "-o tractor.svg",
    "models oil leak",
)
"""What is in the examples that take longest and in no other."""


def of_length(*, longer):
    return [one for one in shell_examples() if any(mark in one.values[0].text for mark in LONGER) is longer]


@before_landing
@pytest.mark.parametrize(("block", "shown"), of_length(longer=True))
def test_a_longer_example_does_as_well(block, shown, workplace, monkeypatch):
    holds(block, shown, workplace, monkeypatch)


@pytest.mark.parametrize(("block", "shown"), of_length(longer=False))
def test_a_shell_example_ends_as_it_says_and_prints_what_is_shown(block, shown, workplace, monkeypatch):
    holds(block, shown, workplace, monkeypatch)


@at_night
def test_the_schedule_of_the_guide_is_what_the_program_finds_in_all_of_its_time(workplace, monkeypatch):
    monkeypatch.setattr("sequencer.cli.before.crew.WORK", WORK)
    block, shown = next(one.values for one in shell_examples() if one.values[0].page.name == "people.md")
    holds(block, shown, workplace, monkeypatch)


def holds(block, shown, workplace, monkeypatch):
    expected = int(block.comment.removeprefix("exit ")) if block.comment.startswith("exit") else 0
    for name in ("COLUMNS", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    # 1 June 2026: a calibration must not come due between two runs.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780272000")
    monkeypatch.chdir(workplace)
    code, said = (in_a_shell if needs_a_shell(block) else run_lines)(block.text, monkeypatch)
    assert code == expected, said
    if shown is not None:
        for piece in re.split(r"^…$", shown.text, flags=re.MULTILINE):
            assert_shown(piece.strip("\n").splitlines(), said.splitlines(), shown)


def python_pages():
    return sorted({block.page for block in BLOCKS if block.language == "python"})


@pytest.mark.parametrize("page", python_pages(), ids=lambda page: page.name)
def test_python_examples_of_a_page_print_what_is_shown(page, workplace, monkeypatch):
    monkeypatch.chdir(workplace)
    monkeypatch.delenv("SEQUENCER_JOB", raising=False)
    told = "\n".join(block.text for block in BLOCKS if block.page == page and block.language == "python")
    examples = doctest.DocTestParser().get_doctest(told, {}, page.name, page.name, 0)
    assert told.count(">>>") == len(examples.examples) > 0
    wrong = []
    doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE).run(
        examples, out=wrong.append
    )
    assert "".join(wrong) == ""


def in_a_shell(text, monkeypatch):
    monkeypatch.setenv("PATH", f"{Path(sys.executable).parent}:{os.environ['PATH']}")
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    done = subprocess.run(
        ["bash", "-e", "-c", text],
        env=dict(os.environ),  # readline puts COLUMNS behind Python's back into what a process inherits
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout


def assert_shown(piece, output, block):
    """The lines stand together in the output; if not, the difference from what is most like them."""
    windows = [output[start : start + len(piece)] for start in range(max(1, len(output) - len(piece) + 1))]
    if piece not in windows:
        nearest = max(windows, key=lambda w: difflib.SequenceMatcher(None, piece, w).ratio())
        lines = difflib.unified_diff(piece, nearest, f"{block}", "what the program prints", lineterm="")
        pytest.fail("\n".join(lines))


def test_the_readme_keeps_the_two_commands_that_are_run_before_a_change_lands():
    marked = {block.comment: block for block in BLOCKS if block.comment.endswith("command")}
    assert set(marked) == {"main command", "test command"}
    assert "sequencer plan models/delivery-van.yaml --off head" in marked["main command"].text
    assert all(block.language == "sh" and "\n" not in block.text for block in marked.values())


# ---- The format page ----

AROUND = """
machine: Around the examples
positions: {bench: , under: }
tools: {long-bar: {drive: none}, wedge: {drive: none}}
fluids: {oil: }
tasks: {isolate: , prop: , raise: }
parts:
  guard: {joints: {screws: {kind: screw, head: T25}}}
  belt: {joints: {idler: {kind: tensioner, tool: long-bar}}}
  motor: {joints: {feet: {kind: nut, head: 13}}, loose: {joints: [feet]}}
  pulley: {joints: {bolts: {kind: bolt, head: 10}}}
  mount: {joints: {stud: {kind: stud, head: 15}}}
"""


def yaml_examples():
    return [pytest.param(block, id=str(block)) for block in BLOCKS if block.language == "yaml"]


def whole(example):
    """The example itself if it is a whole file, else with what it refers to around it."""
    given = YAML(typ="safe").load(example)
    if {"machine", "parts"} <= set(given):
        return example
    around = YAML(typ="safe").load(AROUND)
    for section, content in given.items():
        both = isinstance(content, dict) and isinstance(around.get(section), dict)
        around[section] = around[section] | content if both else content
    stream = StringIO()
    YAML().dump(around, stream)
    return stream.getvalue()


@pytest.mark.parametrize("block", yaml_examples())
def test_every_example_of_the_format_loads_without_a_fault(block, tmp_path):
    if block.text.startswith("assembly:"):
        (tmp_path / "one.yaml").write_text(block.text, "utf-8")
        block = replace(block, text="include: {assembly: one.yaml, as: x, with: {stopped: isolate}}")
    reading = read_text(whole(block.text), str(block), tmp_path)
    overridden = "it stands, since the file says override: "
    assert [str(fault) for fault in reading.faults if not fault.remedy.startswith(overridden)] == []


def entries():
    """Every kind of entry that a machine file has, by name."""
    found, pending = {}, [Entry]
    while pending:
        below = pending.pop().__subclasses__()
        found |= {one.__name__: one for one in below}
        pending += below
    return found


def used_keys(data, path=()):
    """(entry, key) for each key of an example, names that the author chose left out."""
    if isinstance(data, list):
        return {pair for one in data for pair in used_keys(one, (*path, 0))}
    if not isinstance(data, dict):
        return set()
    entry = entry_at(path)
    known = set(entry.keys())
    here = {(entry.__name__, key) for key in data if key in known}
    return here | {pair for key, value in data.items() for pair in used_keys(value, (*path, key))}


def test_every_key_of_a_machine_file_is_explained_and_used_in_an_example():
    used = set()
    for block in BLOCKS:
        if block.language == "yaml":
            used |= used_keys(YAML(typ="safe").load(block.text))
    # One that adds no key to what it is made of is a word for it, like `fill: none`, and has no mapping.
    own = {name: entry for name, entry in entries().items() if entry.keys() != entry.__base__.keys()}
    all_keys = {(name, key) for name, entry in own.items() for key in entry.keys()}  # noqa: SIM118
    assert all_keys - used == set()
    page = dict.fromkeys(own, FORMAT_PAGE) | {"IncludeEntry": ASSEMBLY_PAGE}
    assert {key for name, key in all_keys if f"`{key}`" not in page[name]} == set()


def test_the_kinds_of_joint_stand_on_the_page_with_their_times():
    kinds = tomllib.loads((ROOT / "sequencer/machine/data/kinds.toml").read_text(encoding="utf-8"))
    rows = [
        "| "
        + " | ".join(
            [
                f"`{name}`",
                str(kind["seconds"]),
                ", ".join(kind["words"]),
                "by hand" if kind.get("hand") else "with a flare-nut spanner" if kind.get("spanner") else "",
            ]
        )
        + " |"
        for name, kind in kinds.items()
    ]
    page = [line for line in FORMAT_PAGE.splitlines() if re.match(r"\| `[a-z-]+` \| \d+ \|", line)]
    assert page == rows


def test_the_usual_times_stand_on_the_page():
    usual = tomllib.loads((ROOT / "sequencer/machine/data/defaults.toml").read_text(encoding="utf-8"))
    assert f"from the first position, by hand, in {usual['drain']}" in FORMAT_PAGE
    assert f"from the first position, by hand, in {usual['fill']}" in FORMAT_PAGE
    assert f"how long it takes | {usual['task']} |" in FORMAT_PAGE
    assert f"once nothing holds it | {usual['remove']} |" in FORMAT_PAGE
    assert f"moving the part | {usual['loosen']} |" in FORMAT_PAGE
    assert usual["loosen"] == usual["move_aside"]


def test_every_head_on_the_page_tells_a_tool_and_every_form_of_head_is_there():
    table = FORMAT_PAGE.partition("| head | tool |")[2].partition("\n\n")[0]
    heads = re.findall(r"`([^`]+)`", "\n".join(row.split("|")[1] for row in table.splitlines()[2:]))
    assert all(tool_for(head) for head in heads)
    shown = {re.sub(r"[0-9]+$", "", tool_for(head).name) for head in heads}
    forms = tomllib.loads((ROOT / "sequencer/machine/data/heads.toml").read_text(encoding="utf-8"))["head"]
    made = {re.sub(r"-pin$", "", row["tool"].partition("{")[0]) for row in forms}
    assert {name for name in made if not any(one.startswith(name) for one in shown)} == set()


# ---- The commands ----


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_an_example_and_a_section(name):
    command = COMMANDS[name]
    assert command.help.strip()
    assert f"Example: sequencer {name}" in command.help
    assert f"\n## {name}\n" in COMMANDS_PAGE


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_option_is_explained_in_its_commands_section(name):
    section = COMMANDS_PAGE.partition(f"\n## {name}\n")[2].partition("\n## ")[0]
    options = {opt for param in COMMANDS[name].params for opt in param.opts if opt.startswith("-")}
    assert {opt for opt in options - {"--help"} if f"`{opt}" not in section} == set()


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_option_has_help(name):
    assert [param.name for param in COMMANDS[name].params if not getattr(param, "help", "")] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_somewhere(page):
    text = re.sub(r"^```.*?^```", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
    for target in re.findall(r"\]\(([^)]+)\)", text):
        path, _, anchor = target.partition("#")
        there = page.parent / path if path else page
        assert there.exists(), target
        if anchor:
            titles = re.findall(r"^#+ (.+)$", there.read_text(encoding="utf-8"), flags=re.MULTILINE)
            anchors = [re.sub(r"[^\w -]", "", title.lower()).replace(" ", "-") for title in titles]
            assert anchor in anchors, target
