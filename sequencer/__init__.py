"""Plan how to take a machine apart and put it back together, in the proven quickest order.

The names in ``__all__`` are for scripts; the guide's page ``examples/guide/python.md`` shows them at work.
Each is loaded when it is first used, so that ``import sequencer`` itself costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from sequencer.version import __version__

if TYPE_CHECKING:
    from sequencer.door import (
        as_data,
        begin_job,
        check_machine,
        compare_machines,
        expand,
        find_blockers,
        find_oddities,
        in_sittings,
        models,
        open_job,
        open_survey,
        operations_graph,
        plan_refit,
        plan_removal,
        read_machine,
    )
    from sequencer.door.arguments import ArgumentError
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

_ELSEWHERE = {
    "ArgumentError": "sequencer.door.arguments",
    "MachineFileError": "sequencer.machine.faults",
    "SequencerError": "sequencer.errors",
    "UnreachableError": "sequencer.graph.explain",
}
"""Where a name is that is not in ``sequencer.door``."""


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found: object = getattr(import_module(_ELSEWHERE.get(name, "sequencer.door")), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
