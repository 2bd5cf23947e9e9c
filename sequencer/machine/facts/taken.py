"""How a machine came apart on a job, as the rest of the program sees it."""

from __future__ import annotations

from dataclasses import dataclass, field

from sequencer.machine.facts.basics import Atom, Place, State


@dataclass(frozen=True)
class Told:
    """One thing that was done: a part off or in a state, a joint undone, a fluid drained, a task.

    Attributes:
        section: ``parts``, ``fluids`` or ``tasks``.
        atom: What came of it; of a fluid and a task it has the name alone.
    """

    section: str
    atom: Atom
    place: Place = field(compare=False)

    def __str__(self) -> str:
        return str(self.atom)

    @property
    def written(self) -> str | dict[str, str]:
        """As a file writes it: a text, or a mapping of one state."""
        whole = self.atom.joint is not None or self.atom.state is State.OFF
        return str(self.atom) if whole else {self.atom.part: self.atom.state.word}


@dataclass(frozen=True)
class Free:
    """What of the order does not matter, in the words of ``source``.

    Neither of one of ``first`` and one of ``then`` waits for the other. Without ``then``, what came after
    one of ``first`` waits for it as far as the file says so elsewhere, and no further.
    """

    first: tuple[Told, ...]
    then: tuple[Told, ...] | None
    source: str | None
    place: Place = field(compare=False)


@dataclass(frozen=True)
class TakenApart:
    """The order in which things were done, what of it is of no matter, and what was told from memory."""

    order: tuple[Told, ...] = ()
    free: tuple[Free, ...] = ()
    guessed: tuple[Told, ...] = ()


NOT_TAKEN_APART = TakenApart()
