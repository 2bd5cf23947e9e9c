"""The machine files that come with the program, found by their bare name."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def folder() -> Path:
    """Where they are: inside the installed package, or beside it in a checkout."""
    shipped = _PACKAGE / "models"
    return shipped if shipped.is_dir() else _PACKAGE.parent / "models"


def find(path: Path) -> Path:
    """``path`` itself, unless it is a bare name that no file has and a shipped machine does."""
    if path.exists() or len(path.parts) != 1 or path.suffix:
        return path
    shipped = folder() / f"{path.name}.yaml"
    return shipped if shipped.is_file() else path
