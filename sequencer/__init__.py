"""Plan how to take a machine apart and put it back together, in the proven quickest order.

The names in ``__all__`` are for scripts; the guide's page ``examples/guide/python.md`` shows them at work.
Each is loaded when it is first used, so that ``import sequencer`` itself costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from sequencer.version import __version__

if TYPE_CHECKING:
    from sequencer.door.arguments import ArgumentError
    from sequencer.door.jobs import begin_job, open_job
    from sequencer.door.machines import (
        check_machine,
        compare_machines,
        expand,
        find_oddities,
        models,
        open_survey,
        operations_graph,
        read_machine,
    )
    from sequencer.door.plans import as_data, find_blockers, in_sittings, plan_refit, plan_removal
    from sequencer.errors import SequencerError
    from sequencer.graph.explain import UnreachableError
    from sequencer.machine.faults import MachineFileError

__all__ = [
    "ArgumentError",
    "MachineFileError",
    "SequencerError",
    "UnreachableError",
    "__version__",
    "as_data",
    "begin_job",
    "check_machine",
    "compare_machines",
    "expand",
    "find_blockers",
    "find_oddities",
    "in_sittings",
    "models",
    "open_job",
    "open_survey",
    "operations_graph",
    "plan_refit",
    "plan_removal",
    "read_machine",
]

_HOMES = {
    "sequencer.door.arguments": ["ArgumentError"],
    "sequencer.door.jobs": ["begin_job", "open_job"],
    "sequencer.door.machines": [
        "check_machine",
        "compare_machines",
        "expand",
        "find_oddities",
        "models",
        "open_survey",
        "operations_graph",
        "read_machine",
    ],
    "sequencer.door.plans": ["as_data", "find_blockers", "in_sittings", "plan_refit", "plan_removal"],
    "sequencer.errors": ["SequencerError"],
    "sequencer.graph.explain": ["UnreachableError"],
    "sequencer.machine.faults": ["MachineFileError"],
}
"""Where each name is."""


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    home = next(home for home, names in _HOMES.items() if name in names)
    found: object = getattr(import_module(home), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
