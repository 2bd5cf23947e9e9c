"""Write-back into a machine file that keeps what its author wrote: only added or changed lines differ.

    editor = Editor(Path("van.yaml"))
    editor.add_part("fan-shroud", {"joints": {"bolts": {"kind": "bolt", "head": 10, "count": 2}}})
    editor.add_need("radiator", "behind", "fan-shroud", comment="found on the job")
    editor.set_value("parts/fan-shroud/found", "2026-11-25")
    print(editor.diff())
    editor.save()

Opening
    ``Editor(path)`` reads a file; ``Editor(path, text=...)`` begins a new one that is not there yet; without
    a path it works on the text alone. The file must be YAML; it may have other faults until it is saved.
Changes
    ``add_part``, ``add_joint`` and ``add_task`` make new entries. ``add_need`` and
    ``remove_need``: what a part or joint lists under a relation, ``needs``, ``wet``. ``set_value``,
    ``append`` and ``remove`` take any path, ``parts/motor/joints/feet/time`` or
    a tuple of steps. Values are texts, numbers, lists and mappings as a file has them; ``Atom`` and ``Need``
    of the model are taken as needs. What needs quotes is quoted. A ``comment`` goes behind the line, or above
    it where there is no room. Each change is checked on the spot: the text must say what it said before plus
    this change, and nothing else; if it can't be written so, ``EditError`` is raised and the text stays.
    What ``repeat`` writes out has paths as well: what is changed of one of several is written beside the text
    that they come from, and ``words`` says so.
Looking
    ``text``, ``changed``, ``value(path)``, ``diff()``, and ``read()``: the machine and faults as it is now.
Saving
    ``save()`` replaces the file in one step (a new file beside it, synced, then renamed; rights kept, links
    followed). It raises ``MachineFileError`` with the faults if the result would not load, and ``EditError``
    if the file was changed since it was opened; the file is left alone then.
"""

from sequencer.machine.edit.atomic import replace_file
from sequencer.machine.edit.changes import EditError
from sequencer.machine.edit.editor import Editor

__all__ = ["EditError", "Editor", "replace_file"]
