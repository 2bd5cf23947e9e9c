"""Where assemblies are: in the library that ships with the program, or beside the machine file."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath, PureWindowsPath

from sequencer.machine.faults import Faults, quote, suggestion
from sequencer.machine.library import folder as models
from sequencer.machine.model import Place
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import Tree, compose

ENDINGS = (".yaml", ".yml")
_WORD = re.compile(r"[\w][\w-]*")


def library() -> Path:
    """The folder of the assemblies that ship with the program."""
    return models() / "assemblies"


def shipped() -> list[str]:
    """Their names, in order."""
    return sorted(path.stem for path in library().glob("*.yaml"))


@dataclass(frozen=True)
class Spot:
    """A place where files include others.

    Attributes:
        root: The folder that nothing leads out of; ``None``: there is none, a text without a file.
        folder: The folder of the file that includes, ``root`` or one below it.
        named: What messages call ``root``, with a slash at the end; or nothing.
        ours: It is the library.
    """

    root: Path | None
    folder: Path | None
    named: str = ""
    ours: bool = False


def beside(name: str, folder: Path | None) -> Spot:
    """The place of the machine file that messages call ``name``, in ``folder``."""
    parent = PurePosixPath(name).parent.as_posix()
    return Spot(folder, folder, "" if parent == "." else f"{parent}/")


@dataclass(frozen=True)
class Source:
    """An assembly's file as it was read.

    Attributes:
        path: Which file it is.
        tree: What it says; ``None`` after its faults were noted.
        spot: From where it includes others.
        folder: Where it lies below the machine file's folder, with a slash at the end; or nothing.
    """

    path: Path
    tree: Tree | None
    spot: Spot
    folder: str


@dataclass
class Shelf:
    """Finds assemblies and reads each file once."""

    faults: Faults
    _read: dict[Path, Source] = field(default_factory=dict)

    def find(self, name: str, spot: Spot, place: Place) -> Source | None:
        """The assembly ``name`` for what stands at ``place``; ``None`` after noting that there is none."""
        if not name.endswith(ENDINGS):
            return self._shipped(name, spot, place)
        folder = self._folder(name, spot, place)
        return None if folder is None else self._beside(name, folder, spot, place)

    def _shipped(self, name: str, spot: Spot, place: Place) -> Source | None:
        path = library() / f"{name}.yaml"
        if not _WORD.fullmatch(name) or not path.is_file():
            near = (
                spot.folder is not None and _WORD.fullmatch(name) and (spot.folder / f"{name}.yaml").is_file()
            )
            advice = (
                f"for the file beside this one write {name}.yaml"
                if near
                else suggestion(name, shipped(), "for a file beside this one write its ending too: axle.yaml")
            )
            self.faults.error(place, f"the library has no assembly `{quote(name)}`", advice)
            return None
        return self._source(
            path, f"models/assemblies/{name}.yaml", Spot(library(), library(), "", ours=True), ""
        )

    def _folder(self, name: str, spot: Spot, place: Place) -> Path | None:
        """The folder that ``name`` counts from; ``None`` after noting that it leads out."""
        if spot.folder is None:
            problem = f"`{quote(name)}` is a file, and this text lies beside none"
            self.faults.error(place, problem, "include one of the library, or save the text as a file first")
            return None
        windows = PureWindowsPath(name)
        if windows.drive or windows.root or "\\" in name or ".." in PurePosixPath(name).parts or "\0" in name:
            problem = f"`{quote(name)}` leads out of the machine file's folder"
            self.faults.error(
                place, problem, "put the assembly beside the machine file, or in a folder there"
            )
            return None
        return spot.folder

    def _beside(self, name: str, folder: Path, spot: Spot, place: Place) -> Source | None:
        assert spot.root is not None
        path, root = (folder / name), spot.root.resolve()
        try:
            real = path.resolve()
            there = path.exists()
        except (OSError, ValueError, RuntimeError):
            real, there = path, False
        if there and not real.is_relative_to(root):
            problem = f"`{quote(name)}` is a link out of the machine file's folder"
            self.faults.error(place, problem, "put the assembly itself there")
            return None
        if not there:
            names = [one.name for one in folder.glob("*.y*ml")][:1000] if folder.is_dir() else []
            advice = suggestion(name, sorted(names), "check the name; it counts from this file's folder")
            self.faults.error(place, f"there is no file `{quote(name)}` here", advice)
            return None
        below = PurePosixPath(real.relative_to(root).as_posix())
        lies = "" if below.parent.as_posix() == "." or spot.ours else f"{below.parent.as_posix()}/"
        named = "models/assemblies/" if spot.ours else spot.named
        inside = Spot(spot.root, real.parent, spot.named, spot.ours)
        return self._source(real, f"{named}{below}", inside, lies)

    def _source(self, path: Path, shown: str, spot: Spot, folder: str) -> Source:
        if path not in self._read:
            noted = Faults()
            text = read_source(path, noted, shown)
            tree = None if text is None else compose(text, shown, noted)
            for fault in noted.sorted():
                self.faults.add(fault)
            self._read[path] = Source(path, None if noted.fatal else tree, spot, folder)
        return self._read[path]
