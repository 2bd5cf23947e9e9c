"""The lines of a shell example run in this process: a command in a tenth of the time that a new one takes."""

import io
import re
import shlex
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from sequencer.cli.app import main

LINE = re.compile(r"(?P<words>[^|>]+)(?:\| (?P<pipe>[^>]+))?(?:> (?P<file>\S+))?")


def commands_in(text):
    """(words, pipe, file) of each line, or None where a line needs a shell: it has more than those."""
    lines = [LINE.fullmatch(line.strip()) for line in text.splitlines()]
    if "<<" in text or not all(lines):
        return None
    return [(shlex.split(line["words"]), line["pipe"], line["file"]) for line in lines]


def run_lines(text, monkeypatch):
    """(exit code, output with complaints) of the lines; the first that fails is the last, as in `bash -e`."""
    said, code = io.StringIO(), 0
    for words, pipe, file in commands_in(text):
        code, out, err = run(words, monkeypatch)
        if pipe is not None:
            done = subprocess.run(
                ["bash", "-c", pipe], input=out, capture_output=True, text=True, check=False
            )
            code, out, err = done.returncode, done.stdout, err + done.stderr
        if file is not None and file != "/dev/null":
            Path(file).write_text(out, encoding="utf-8")
        said.write(err if file is not None else out + err)
        if code:
            break
    return code, said.getvalue()


def run(words, monkeypatch):
    """(exit code, output, complaints) of one command."""
    match words:
        case ["cd", folder]:
            monkeypatch.chdir(folder)
            return 0, "", ""
        case ["sequencer", *_]:
            return sequencer(words, monkeypatch)
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout, done.stderr


def sequencer(words, monkeypatch):
    """What the program says, as bytes of a pipe and not of a terminal."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    monkeypatch.setattr(sys, "argv", words)
    # A process that a command starts must not begin by importing the script that runs the tests.
    monkeypatch.delattr(sys.modules["__main__"], "__file__", raising=False)
    code = 0
    with redirect_stdout(out), redirect_stderr(err):
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
    return code, *(stream.buffer.getvalue().decode("utf-8") for stream in (out, err))
