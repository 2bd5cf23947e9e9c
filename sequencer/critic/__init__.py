"""The critic: physical oddities that no rule forbids, found in a machine file and in orders of work.

A rule is a function in ``rules/`` that looks at a ``Case`` and yields ``Finding`` values; ``registry.py``
names the rules. By what it knows things is in ``data/words.toml`` and in the tables of the cautions. A
finding has no words: ``document/plans/critic.py`` says what is odd and how it is mended, and the file
is quiet once that is done.
"""

from sequencer.critic.finding import Code, Finding, Severity
from sequencer.critic.registry import findings, findings_at, findings_of_job

__all__ = ["Code", "Finding", "Severity", "findings", "findings_at", "findings_of_job"]
