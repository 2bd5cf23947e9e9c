"""What a form is answered with: a new page for a browser, plain data for the page's own script."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from urllib.parse import quote, urlsplit

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from sequencer.bench.page import bench_of, session_of, template
from sequencer.bench.plain_page import WHAT, bare_page
from sequencer.bench.remedies import AGAIN, for_a_thumb
from sequencer.errors import SequencerError
from sequencer.job.desk import Outcome
from sequencer.wording import capital


def wants_data(request: Request) -> bool:
    """Whether the page's script asks, rather than a browser that follows a form."""
    return request.headers.get("accept", "").startswith("application/json")


def here(path: str, otherwise: str = "/") -> str:
    """``path`` if it is one of this page's own, so that no form can lead anywhere else."""
    own = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if own else otherwise


def step_path(operation: str, page: str = "step") -> str:
    """Where a step of the plan has its own page: ``/step/undo%20guard/screws``."""
    return f"/{page}/{quote(operation)}"


def part_path(part: str) -> str:
    """Where a part has its own page."""
    return f"/part/{quote(part, safe='')}"


def answer(
    request: Request,
    act: Callable[[], Outcome],
    back: str | Callable[[], str] = "/",
    first: Callable[[Outcome], Iterable[str]] = lambda _: (),
) -> Response:
    """Do ``act``, and say what it came to; ``back`` may look at that.

    Args:
        request: The form.
        act: What it asks for.
        back: The page that comes next.
        first: Sentences that are said before those of the act.

    Raises:
        SequencerError: It was refused; ``answer_faults`` says so.
    """
    said = act()
    sentences = (*first(said), *(f"{capital(line)}." for line in said.words))
    if wants_data(request):
        return JSONResponse({"words": sentences, "repeated": said.repeated})
    bench_of(request).say(session_of(request), said=sentences)
    return RedirectResponse(here(back if isinstance(back, str) else back()), 303)


def answer_faults(app: FastAPI) -> None:
    """Make every refusal one clear message, as a page, as data, or as plain text."""

    async def refused(request: Request, fault: Exception) -> Response:
        assert isinstance(fault, SequencerError)
        text = for_a_thumb(fault)
        if wants_data(request):
            return JSONResponse({"problem": text, "again": fault.code in AGAIN}, 409)
        if request.method == "POST" and hasattr(request.state, "bench"):
            bench_of(request).say(session_of(request), problem=text)
            return RedirectResponse(_came_from(request), 303)
        return HTMLResponse(template("fault.html", text=text), 409)

    async def malformed(request: Request, fault: Exception) -> Response:
        assert isinstance(fault, RequestValidationError)
        fields = ", ".join(sorted({str(one["loc"][-1]) for one in fault.errors()}))
        text = f"The form lacks something or has it wrong: {fields}."
        return JSONResponse({"problem": text}, 422) if wants_data(request) else bare_page(422, text)

    async def other(request: Request, fault: Exception) -> Response:
        assert isinstance(fault, HTTPException)
        if wants_data(request):
            return JSONResponse({"problem": str(fault.detail)}, fault.status_code)
        return bare_page(fault.status_code, str(fault.detail))

    async def broken(request: Request, _fault: Exception) -> Response:
        # What it was goes to the terminal, and no further: it may name this computer's folders.
        if wants_data(request):
            return JSONResponse({"problem": WHAT[500]}, 500)
        return bare_page(500)

    app.add_exception_handler(SequencerError, refused)
    app.add_exception_handler(RequestValidationError, malformed)
    app.add_exception_handler(HTTPException, other)
    app.add_exception_handler(Exception, broken)


def _came_from(request: Request) -> str:
    """The page that the form was on; our own pages alone are told by the browser."""
    told = urlsplit(request.headers.get("referer", ""))
    path = f"{told.path}?{told.query}" if told.query else told.path
    return here(path) if told.netloc == request.headers.get("host") else "/"
