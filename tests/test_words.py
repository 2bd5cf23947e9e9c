"""Words are never data: no file reads, compares or rewrites a sentence that another has made.

What a person types and what a file says is read at the edge, by the one reader that each kind of text has;
from there on it is a value. What is allowed below is such a reader, and says what it reads.
"""

import ast
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

import sequencer

PACKAGE = Path(sequencer.__file__).parent

READERS = {
    "bench/access": "an address, a path",
    "bench/page.py": "an address",
    "cli/shared/output.py": "a file's ending",
    "engine": "no word of machines",
    "job/changes/asking.py": "a person's answer",
    "job/changes/begin.py": "what a file may be called",
    "job/told": "a person's line",
    "machine/assembly/shelf.py": "a path",
    "machine/called.py": "what a person calls a thing",
    "machine/checks/frame_checks.py": "a path",
    "machine/edit": "a machine file's text",
    "machine/heard": "what a person says of joints and places",
    "machine/survey": "a person's answers",
    "machine/trade/heads.py": "how a head is written",
    "plan/like": "a person's answers",
    "quantities": "how a quantity is written",
    "render/notebook.py": "a picture's text",
    "render/paper/typeset.py": "a job's name, which a person may give",
    "render/pictures/barring/letters.py": "where a line is cut for room",
    "render/tags/stock.py": "a path",
    "spoken": "what a person says beside the machine",
}
"""Rooms and files that read a person's line, a path or a file's text."""

NAMES = {
    "machine/facts/basics.py": "parts and joints, parts and states",
    "machine/survey/question.py": "what a question is known by",
    "bench/pages/answers.py": "a path of the page",
    "document/addresses.py": "an address of the page",
    **READERS,
}
"""Where a name with strokes is taken apart: one reader for each kind."""

TAKES_APART = {
    *("count", "find", "index", "rfind", "replace", "startswith", "endswith", "removeprefix", "removesuffix"),
    *("partition", "rpartition", "split", "rsplit", "strip", "lstrip", "rstrip"),
}
SENTENCE = re.compile(r"[:;,.?!] |[?!;]$|\w:$|\w \w|\w $|^ [a-z]|^ ?\(")
"""What a sentence has and a name has not: signs with a blank behind them, several words."""

SAYS = {"message", "problem", "remedy", "sentence", "words"}
"""Attributes that hold what is said."""


@cache
def sources() -> tuple[tuple[str, str], ...]:
    return tuple(
        (one.relative_to(PACKAGE).as_posix(), one.read_text("utf-8")) for one in PACKAGE.rglob("*.py")
    )


parsed = cache(ast.parse)


def is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def texts(node: ast.expr) -> list[str]:
    """The constant pieces of an argument: of a text, of one with holes, of several in a row."""
    return [str(one.value) for one in ast.walk(node) if isinstance(one, ast.Constant) and is_text(one)]


def taken_apart(tree: ast.AST) -> Iterator[tuple[ast.Call, list[str]]]:
    """Calls that take a text apart or look into it, and by what."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
            continue
        if node.args and node.func.attr in TAKES_APART:
            yield node, texts(node.args[0])


def sentence_taken_apart(tree: ast.AST) -> Iterator[ast.AST]:
    for call, by in taken_apart(tree):
        full_stop = by == ["."] and "0" not in ast.unparse(call)  # 12.50 without its noughts is a number
        if full_stop or any(map(SENTENCE.search, by)):
            yield call


def name_taken_apart(tree: ast.AST) -> Iterator[ast.AST]:
    yield from (call for call, by in taken_apart(tree) if any(one.strip() == "/" for one in by))
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and is_text(node.left) and set(texts(node.left)) <= {"/", "="}:
            yield node


def sentence_compared(tree: ast.AST) -> Iterator[ast.AST]:
    """What is said against a text of the code; the text of an error, or any sentence, against anything."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            says = any(isinstance(one, ast.Attribute) and one.attr in SAYS for one in sides)
            error = any(ast.unparse(one) in ERRORS for one in sides)
            by = [text for one in sides if is_text(one) for text in texts(one)]
            if (says and any(by)) or error or any(re.search(r"\w \w", text) for text in by):
                yield node


ERRORS = {f"str({name})" for name in ("error", "exc", "fault", "refused", "why", "wrong")}


def first_letter_changed(tree: ast.AST) -> Iterator[ast.AST]:
    """``text[:1].upper()``, or ``capitalize``, which makes a small m of an M8."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            cut = ast.unparse(node.func.value)[-4:] in ("[:1]", "[0]") or ast.unparse(node).endswith(
                "[0].lower()"
            )
            if node.func.attr == "capitalize" or (node.func.attr in ("upper", "lower") and cut):
                yield node


def more_counted(tree: ast.AST) -> Iterator[ast.AST]:
    """`` and 3 more`` put together by hand."""
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr) and re.search(r" and \{.*\} more['\"]?$", ast.unparse(node)):
            yield node


def lines_taken_apart(tree: ast.AST) -> Iterator[ast.AST]:
    """What stands in lines was put together from values, which can be handed on."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "splitlines":
            yield node


FILES = {
    "job/journal/edits.py": "a difference of two files",
    "machine/catalogue.py": "a machine file's head",
    "machine/incoming.py": "a machine file's head",
    "render/pictures/dot.py": "what another program said",
    "render/terminal.py": "a table, drawn",
}
"""What reads lines that are no sentences."""


Rule = Callable[[ast.AST], Iterator[ast.AST]]
_CALL = rf"\.(?:{'|'.join(sorted(TAKES_APART))})\("
_SAYS = rf"\.(?:{'|'.join(sorted(SAYS))})\b"
_COMPARED = "|".join(
    (
        r"(?:==|!=|\bin) f?\(?[\"'][^\"'\n]*\w \w",
        r"\w \w[^\"'\n]*[\"'] (?:not in|in|==|!=) ",
        rf"{_SAYS} (?:==|!=|in|not in) ",
        rf"(?:==|!=|in) \w+{_SAYS}",
        *map(re.escape, sorted(ERRORS)),
    )
)
RULES: dict[Rule, tuple[str, set[str]]] = {
    sentence_taken_apart: (
        rf"{_CALL}\(?f?[\"'](?:[^\"']*[:;,.?!] |[^\"']*[?!;:.][\"']|[^\"']*\w |\s)",
        {*READERS, "wording.py"},
    ),
    name_taken_apart: (rf"{_CALL}f?[\"'][^\"']*/[\"']|[\"'][/=][\"'] (?:not )?in ", set(NAMES)),
    sentence_compared: (_COMPARED, set(READERS)),
    first_letter_changed: (r"\.(?:upper|lower|capitalize)\(\)", {"wording.py"}),
    lines_taken_apart: (r"\.splitlines\(", {*READERS, *FILES}),
    more_counted: (r" more[\"']", {"wording.py"}),
}
"""Each with what a line that breaks it looks like, so that few files are parsed, and where it is allowed."""


def breaches(rule: Rule) -> Iterator[str]:
    """Where a rule is broken that may not be."""
    hint, allowed = RULES[rule]
    for name, text in sources():
        if any(name == one or name.startswith(f"{one}/") for one in allowed) or not re.search(hint, text):
            continue
        yield from (f"{name}: {ast.unparse(node)}" for node in rule(parsed(text)))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_words_are_never_data(rule):
    assert list(breaches(rule)) == []


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("line.rstrip('.')", sentence_taken_apart),
        ("text.removesuffix(f' {unit}. ')", sentence_taken_apart),
        ("sentence(op).partition(';')[0]", sentence_taken_apart),
        ("problem.startswith(('this can', 'a colon where'))", sentence_taken_apart),
        ("paths.split(', ')", sentence_taken_apart),
        ("name.partition('/')", name_taken_apart),
        ("'/' in name", name_taken_apart),
        ("fault.problem == 'gone'", sentence_compared),
        ("'has keys under it' in told", sentence_compared),
        ("'gone' in str(why)", sentence_compared),
        ("f'{text[:1].upper()}{text[1:]}'", first_letter_changed),
        ("kind.capitalize()", first_letter_changed),
        ("refusal.facts['items'].splitlines()", lines_taken_apart),
        ("f' and {len(names) - 12} more'", more_counted),
    ],
)
def test_each_rule_sees_what_it_is_for(text, rule):
    assert re.search(RULES[rule][0], text)
    assert list(rule(ast.parse(text)))


def test_no_template_rewrites_what_it_shows():
    for path in sorted((PACKAGE / "bench" / "templates").glob("*.html")):
        text = path.read_text("utf-8")
        assert not re.findall(
            r"\{[{%][^}]*(?:\[:1\]|\| *(?:replace|title|capitalize|lower|upper)\b)[^}]*\}", text
        )
