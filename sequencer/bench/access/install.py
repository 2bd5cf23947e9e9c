"""What a device opens before it can trust the page: the authority's certificate, and how it is installed.

It comes over plain HTTP, since a device that does not trust the authority yet can't be spoken to otherwise.
Nothing of the job is here, and no invitation. That nobody on the way has put another certificate in its place
is seen by its fingerprint, which the terminal at the bench shows as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.applications import Starlette
from starlette.responses import Response
from starlette.routing import Route

from sequencer.bench.page import template
from sequencer.bench.plain_page import bare_document, bare_page

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.types import ASGIApp

    from sequencer.bench.access.address import Address
    from sequencer.bench.access.authority import Authority

CERTIFICATE = "/bench-authority.crt"


def install_page(authority: Authority, where: Address) -> ASGIApp:
    """The page that offers the certificate to devices in the local network.

    Args:
        authority: Who vouches for the bench's page.
        where: Where that page is found; ``install`` is this one.
    """
    asked_for = where.install.removeprefix("http://").rstrip("/")

    def refused(request: Request) -> Response | None:
        return None if request.headers.get("host", "").lower() == asked_for else bare_page(421)

    def page(request: Request) -> Response:
        body = template("install.html", certificate=CERTIFICATE, fingerprint=authority.fingerprint)
        return refused(request) or bare_document(body, "Let this device trust the bench")

    def certificate(request: Request) -> Response:
        # Phones offer to install this type; application/pkix-cert (RFC 2585) they save as a file.
        return refused(request) or Response(
            authority.certificate,
            media_type="application/x-x509-ca-cert",
            headers={"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"},
        )

    return Starlette(routes=[Route("/", page), Route(CERTIFICATE, certificate)])
