"""A page for somebody to whom nothing of the job can be shown: what is wrong, what to do, in our look.

It brings its own style, since a device that is not paired gets no file of the page.
"""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256
from pathlib import Path

from markupsafe import escape
from starlette.responses import HTMLResponse

WHAT = {
    401: "This device is not paired",
    403: "This was not taken",
    404: "Page not found",
    413: "That is too large",
    421: "This name is not served here",
    422: "This was not taken",
    500: "Something went wrong here",
}
TODO = {
    401: "Ask at the bench for an invitation: open its link, or point the camera at its code. "
    "What was ticked on this device is kept on it.",
    404: "Go back to the work; the job may have moved on.",
    421: "Open the address shown in the terminal at the bench.",
    500: "Not your fault, and your ticks are kept. Reload the page; if it happens again, "
    "the terminal at the bench says what is wrong.",
}
USUAL = "Reload the page and try again."


@cache
def _style() -> tuple[str, str]:
    """The page's style, and its mark for the content policy (Content Security Policy 3, hash sources)."""
    text = (Path(__file__).parent / "static" / "bench.css").read_text(encoding="utf-8")
    return text, f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def bare_page(status: int, detail: str = "") -> HTMLResponse:
    """The page of a ``status``, with what is particular to this case."""
    again = '<p><a class="button main" href="/">Load the page again</a></p>'
    said = f"""<p class="refused" role="alert">{escape(detail)}</p>""" if detail else ""
    body = f"{said}<p>{TODO.get(status, USUAL)}</p>{again if status != 421 else ''}"
    return bare_document(body, WHAT.get(status, "This can't be done"), status)


def bare_document(body: str, heading: str, status: int = 200) -> HTMLResponse:
    """A page of ``body``, markup that is safe, under its heading; nothing else is loaded for it."""
    style, mark = _style()
    text = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{heading}</title><style>{style}</style></head><body><main><h1>{heading}</h1>"
        f"{body}</main></body></html>"
    )
    policy = (
        f"default-src 'none'; style-src {mark}; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
    return HTMLResponse(text, status, headers={"Content-Security-Policy": policy})
