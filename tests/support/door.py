"""The page of a job, asked without a socket."""

import asyncio
import io
import threading
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property

import httpx

from sequencer.bench.access.address import address

HERE = address(lan=False, port=8765)


def alone(what):
    """Run a coroutine in a thread of its own: a browser's tests leave a loop running in the main one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, what).result(timeout=60)


class Door:
    """A page without a socket, and one paired device that asks it."""

    def __init__(self, app, sessions):
        self.sessions = sessions
        self.loop = asyncio.new_event_loop()
        self.thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self.thread.start()
        self.cookie = sessions.pair(sessions.invite(), "phone", "Ada")
        self.csrf = sessions.of(self.cookie).csrf
        self.client = httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url=HERE.url)

    @cached_property
    def schema(self):
        """Every route and field that the page has, as it tells them itself."""
        return self.ask("GET", "/openapi.json").json()

    def ask(self, method, path, *, cookie="", **more):
        """Ask as the paired device, or with another cookie (None: with none)."""
        given = self.cookie if cookie == "" else cookie
        headers = {
            **({"Cookie": f"{self.sessions.cookie}={given}"} if given else {}),
            **more.pop("headers", {}),
        }
        self.client.cookies.clear()
        return self._wait(self.client.request(method, path, headers=headers, **more))

    def post(self, path, fields, **more):
        return self.ask("POST", path, data={"csrf": self.csrf, **fields}, **more)

    def operations(self):
        return [
            (method.upper(), path) for path, methods in self.schema["paths"].items() for method in methods
        ]

    def _wait(self, what):
        return asyncio.run_coroutine_threadsafe(what, self.loop).result(timeout=60)

    def close(self):
        self._wait(self.client.aclose())
        self._wait(self.loop.shutdown_default_executor())
        self.loop.call_soon_threadsafe(self.loop.stop)
        self.thread.join(timeout=10)
        self.loop.close()


def picture():
    """A small photo."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(out, "PNG")
    return out.getvalue()
