"""Forms of this page only: each carries its session's token, and without it nothing is changed."""

from __future__ import annotations

import hmac

from fastapi import HTTPException, Request
from starlette.datastructures import FormData

from sequencer.bench.access.pairing import PAIR, Session

SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


async def checked(request: Request) -> None:
    """A dependency of the whole application, so that no route can forget it.

    Raises:
        HTTPException: 403, the token is missing or another's; 415, it is no form.
    """
    if request.method in SAFE or request.url.path.startswith(PAIR):
        return  # an invitation is itself the secret
    session: Session = request.state.session
    if not request.headers.get("content-type", "").startswith(FORMS):
        raise HTTPException(415, "Only forms are taken here.")
    form: FormData = await request.form()
    token = form.get("csrf")
    if not isinstance(token, str) or not hmac.compare_digest(token.encode(), session.csrf.encode()):
        raise HTTPException(403, "This form is out of date. Load the page again.")
