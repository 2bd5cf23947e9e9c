"""Whose clock counts: a device says when a thing happened, but never later than now."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from sequencer.job.now.acts import By

WORTH_SAYING = timedelta(minutes=1)
"""By so much a device's clock may be ahead before that is said."""


def by_our_clock(by: By) -> tuple[By, list[str]]:
    """``by`` with a time that is not ahead of ours, and what to say of it.

    A clock that is fast would make a stretch of work too long, and a cure too short.
    """
    now = datetime.now(UTC)
    if by.time is None or by.time <= now:
        return by, []
    ahead = by.time - now
    hours = ahead.total_seconds() / 3600
    about = f"{hours:.0f} h" if hours >= 1 else f"{hours * 60:.0f} min"
    words = f"the clock of {by.device or 'this device'} is {about} ahead: this counts as said now"
    return replace(by, time=now), [words] if ahead >= WORTH_SAYING else []
