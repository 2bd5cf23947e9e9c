"""The YAML parser's complaints in plain words."""

from __future__ import annotations

from ruamel.yaml.error import MarkedYAMLError

from sequencer.machine.faults import quote

_COLON = "but got ':'"
"""Inside brackets of one line this is a colon in a text; in those of several a bracket was left open."""

# What the parser's sentence has in it, what is wrong in plain words, and what to do; the first that fits.
_WORDS = (
    (
        "mapping values are not allowed",
        "a colon where none can be",
        "put a text with a colon in quotes, or line the key up with those above it",
    ),
    (_COLON, "a colon where none can be", "put a text with a colon in quotes"),
    ("unknown escape character", "a backslash that means nothing", "write \\\\ for a backslash"),
    ("found character '\\t'", "a tab where spaces belong", "indent with spaces"),
    ("found a tab", "a tab where spaces belong", "indent with spaces"),
    ("unexpected end of stream", "a quote is opened and never closed", "close it"),
    ("quoted scalar", "a quote is opened and not closed properly", "close it, and double a quote inside it"),
    ("expected ',' or", "a bracket is opened and not closed", "close it, and put a comma between entries"),
    ("could not find expected ':'", "a line that has no colon", "write key: value, and quote a long text"),
    ("expected <block end>", "this line is not indented like its neighbours", "line it up with them"),
    (
        "block sequence entries are not allowed",
        "a dash where no list can begin",
        "put the list on lines of its own",
    ),
    ("block mapping keys are not allowed", "a key where none can be", "put it on a line of its own"),
    ("cannot start any token", "a character that can't begin a text", "put the text in quotes"),
    ("expected alphabetic", "a character that can't begin a text", "put the text in quotes"),
    ("expected the node content", "a value is missing or a bracket is closed too early", "write or close it"),
    ("<document start>", "this does not belong to what is above it", "line it up, or take it out"),
    ("duplicate", "this is here twice", "keep one of them"),
)


def plain_words(why: MarkedYAMLError) -> tuple[str, str]:
    """What is wrong, and what to do about it."""
    sentence = f"{why.context or ''} {why.problem or ''}"
    opened = ""
    if why.context_mark is not None and why.problem_mark is not None:
        line = why.context_mark.line + 1
        opened = f" (what it belongs to begins in line {line})" if line != why.problem_mark.line + 1 else ""
    for part, problem, remedy in _WORDS:
        if part in sentence and not (part == _COLON and opened):
            return f"{problem}{opened}", remedy
    return f"this can't be read as YAML: {quote(why.problem or why.context)}{opened}", "write it another way"
