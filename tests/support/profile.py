"""How much the tests try: `quick`, or by ``SEQUENCER_TESTS`` what runs before a `landing`, or `nightly`."""

import os
from typing import TypeVar

import pytest

T = TypeVar("T")

PROFILES = ("quick", "landing", "nightly")
PROFILE = os.environ.get("SEQUENCER_TESTS") or "quick"
if PROFILE not in PROFILES:
    raise ValueError(f"SEQUENCER_TESTS is {PROFILE!r}; it can be {' or '.join(PROFILES)}")


def counts(*, quick: T, nightly: T, landing: T | None = None) -> T:
    """The count, or range, or list of cases, of the profile that these tests run in.

    Without one for the ``landing`` that of `quick` is enough there.
    """
    if PROFILE == "landing" and landing is not None:
        return landing
    return nightly if PROFILE == "nightly" else quick


before_landing = pytest.mark.skipif(PROFILE == "quick", reason="tried before a landing")
"""A test of which others, that are tried at once, are a sample."""

at_night = pytest.mark.skipif(PROFILE != "nightly", reason="tried at night")
"""A single long case of which shorter ones are tried before a landing."""


def waits(mark: pytest.Mark) -> bool:
    """Whether a ``skipif`` is one of these two, and holds in this profile."""
    return mark in (before_landing.mark, at_night.mark) and mark.args == (True,)
