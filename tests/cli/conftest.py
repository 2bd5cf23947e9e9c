"""Running the command line inside the test process, as a person would run it."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from sequencer.cli.app import main

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True)
class Ran:
    """How a command ended, and what it said."""

    code: int
    out: str
    err: str


@pytest.fixture
def sequencer(monkeypatch, capsys) -> Callable[..., Ran]:
    """Run ``sequencer ARGUMENTS`` from the root of the project, without a terminal."""
    monkeypatch.chdir(ROOT)
    for name in ("COLUMNS", "FORCE_COLOR", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)

    def run(*arguments: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["sequencer", *map(str, arguments)])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        said = capsys.readouterr()
        return Ran(code, said.out, said.err)

    return run


@pytest.fixture
def write(tmp_path) -> Callable[[str], Path]:
    """Write a machine file and return its path."""

    def write(text: str) -> Path:
        path = tmp_path / "machine.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return write
