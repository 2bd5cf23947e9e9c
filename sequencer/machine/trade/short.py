"""Keys that can be written short: each function makes the full entry of what a file has there."""

from __future__ import annotations


def caution(raw: object) -> object:
    """A text or a list alone is for both ways."""
    return raw if isinstance(raw, dict) else {"in": raw, "back": raw}


def note(raw: object) -> object:
    """A text or a list alone is for the way in."""
    return raw if isinstance(raw, dict) else {"in": raw}


def crack(raw: object) -> object:
    """A name or a list alone is the parts that hold the joint."""
    return {"while": raw} if isinstance(raw, str | list) else raw


def freedom(raw: object) -> object:
    """A state without more said is ``yes``; a name or a list alone is its joints."""
    if isinstance(raw, str) and raw.casefold() in ("yes", "true"):
        return {}
    return {"joints": raw} if isinstance(raw, str | list) else raw


def torque(raw: object) -> object:
    """A torque alone is its value, a list its stages."""
    if isinstance(raw, str):
        return {"value": raw}
    return {"stages": raw} if isinstance(raw, list) else raw


def renewals(raw: object) -> object:
    """One alone needs no list, and a text alone is its item."""
    entries = raw if isinstance(raw, list) or raw is None else [raw]
    return [{"item": one} if isinstance(one, str) else one for one in entries] if entries else entries


def sealant(raw: object) -> object:
    """A text alone is its kind."""
    return {"kind": raw} if isinstance(raw, str) else raw


def boxes(raw: object) -> object:
    """One box alone needs no list."""
    return [raw] if isinstance(raw, dict) else raw
