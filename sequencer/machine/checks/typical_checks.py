"""What a person can get wrong in the typical jobs of a machine, what they come to, and which one is meant."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from sequencer.errors import SequencerError
from sequencer.machine.facts.basics import State, Subject
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.faults import nearest, quote
from sequencer.machine.model import Aim
from sequencer.wording import capital

if TYPE_CHECKING:
    from sequencer.machine.model import Machine
    from sequencer.machine.reader.scope import Scope
    from sequencer.machine.reader.yaml_tree import Path, Tree
    from sequencer.machine.schema.job_entry import JobEntry

JOBS = "jobs"
_STATES = tuple(state.word for state in State if state is not State.FITTED)


def check_jobs(scope: Scope) -> None:
    """Note what jobs name in vain."""
    for name, job in (scope.entry.jobs or {}).items():
        path: Path = (JOBS, name)
        if not job.off:
            scope.error(path, f"the job `{quote(name)}` takes nothing off", "write off: [head]", key=True)
        for where, text in scope.texts(job.off, (*path, "off")):
            _check_aim(scope, text, where)
        for key, said in (("for", job.for_), ("renew", job.renew)):
            for _ in scope.texts(said, (*path, key)):
                pass


def _check_aim(scope: Scope, text: str, where: Path) -> None:
    part, word = Subject(Aim(text).part), Aim(text).state
    if part.of_joint and part not in scope.names("parts"):
        advice = f"write {quote(part.part)}"
        scope.error(where, f"`{quote(part)}` is a joint, and a job takes parts off", advice)
    elif scope.knows("parts", part, where) and word is not None and word not in _STATES:
        scope.error(where, f"there is no state `{quote(word)}`", f"a part can be {', '.join(_STATES)}")


def typical_jobs(jobs: Mapping[str, JobEntry] | None, tree: Tree) -> dict[str, TypicalJob]:
    """What the jobs of ``tree`` come to. The file has been checked."""
    return {
        name: TypicalJob(
            name,
            tuple(dict.fromkeys(re.sub(r"\s*=\s*", "=", text.strip()) for text in job.off or ())),
            tree.place((JOBS, name), key=True),
            job.label or capital(re.sub("[-_]+", " ", name)),
            tuple(job.for_ or ()),
            tuple(job.renew or ()),
        )
        for name, job in (jobs or {}).items()
    }


def job_called(machine: Machine, text: str) -> TypicalJob:
    """The job that ``text`` names, by its name or its label.

    Raises:
        SequencerError: The machine has no such job; its jobs are listed.
    """
    wanted = _plain(text)
    found = [one for one in machine.jobs.values() if wanted in (_plain(one.name), _plain(one.label))]
    exact = machine.jobs.get(text.strip())
    if exact or len(found) == 1:
        return exact or found[0]
    problem = f"{machine.file} has no job {text.strip()!r}"
    if not machine.jobs:
        raise SequencerError(problem, "it lists none under jobs; name the part that you want off")
    near = nearest(text.strip(), machine.jobs)
    listed = ", ".join(f"{one.name} ({one.label})" for one in machine.jobs.values())
    meant = f"did you mean {near}? " if near else ""
    raise SequencerError(problem, f"{meant}its jobs are {listed}")


def _plain(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text).strip().casefold()
