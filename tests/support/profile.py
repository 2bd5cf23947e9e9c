"""How much the tests try: `quick`, or with ``SEQUENCER_TESTS=nightly`` the large counts."""

import os
from typing import TypeVar

T = TypeVar("T")

PROFILES = ("quick", "nightly")
PROFILE = os.environ.get("SEQUENCER_TESTS") or "quick"
if PROFILE not in PROFILES:
    raise ValueError(f"SEQUENCER_TESTS is {PROFILE!r}; it can be {' or '.join(PROFILES)}")


def counts(*, quick: T, nightly: T) -> T:
    """The count, or range, or list of cases, of the profile that these tests run in."""
    return nightly if PROFILE == "nightly" else quick
