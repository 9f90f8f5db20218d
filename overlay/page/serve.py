"""The rehearsal page on the loopback address, made anew whenever the plan is saved.

The page hears by server-sent events (HTML, 9.2) which state of the plan there is. A plan with a
mistake leaves the last good page standing, and its message is shown over it.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from overlay.errors import MachineError, OverlayError
from overlay.plan.beside import root_of

if TYPE_CHECKING:
    from starlette.applications import Starlette

LOOPBACK = "127.0.0.1"
_NAMES = [LOOPBACK, "localhost"]
"""The hosts that the page is asked for under. Another name is another site's, led here by its own name server."""

_WRITTEN = (".yaml", ".yml")
"""How files that plans share end."""


class Page(NamedTuple):
    """A page, the name of the state of the plan that it shows, and the files that the plan shares with others."""

    text: str
    version: str
    shared: tuple[Path, ...] = ()


class Showing:
    """What is shown: the last good page, and the message of the mistake that the plan has now."""

    def __init__(self, make: Callable[[], Page], words_for: Callable[[OverlayError], str]) -> None:
        """`make` reads the plan and raises what is wrong with it, `words_for` puts that as the terminal does."""
        self._make = make
        self._words_for = words_for
        self.page = make()
        self.mistake: str | None = None
        self._changed = asyncio.Condition()

    async def look_again(self) -> None:
        """Read the plan anew, and tell everybody who listens."""
        try:
            self.page, self.mistake = await asyncio.to_thread(self._make), None
        except OverlayError as error:
            self.mistake = self._words_for(error)
        async with self._changed:
            self._changed.notify_all()

    async def events(self) -> AsyncIterator[str]:
        """The state now, and after every change, as events."""
        while True:
            told = json.dumps({"version": self.page.version, "mistake": self.mistake})
            yield f"data: {told}\n\n"
            async with self._changed:
                await self._changed.wait()


def application(showing: Showing, plan: Path, root: Path | None = None) -> Starlette:
    """The page at `/`, its events at `/changes`, nothing else; it watches the plan, and what it shares with others up
    to `root` (`plan/beside.py`), while it runs."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.middleware.trustedhost import TrustedHostMiddleware
    from starlette.requests import Request
    from starlette.responses import HTMLResponse, Response, StreamingResponse
    from starlette.routing import Route

    async def page(request: Request) -> Response:
        return HTMLResponse(
            showing.page.text, headers={"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"}
        )

    async def changes(request: Request) -> Response:
        return StreamingResponse(
            showing.events(), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    @contextlib.asynccontextmanager
    async def watching(app: Starlette) -> AsyncIterator[None]:
        task = asyncio.create_task(_watch(showing, plan, root))
        yield
        task.cancel()

    return Starlette(
        routes=[Route("/", page), Route("/changes", changes)],
        middleware=[Middleware(TrustedHostMiddleware, allowed_hosts=_NAMES, www_redirect=False)],
        lifespan=watching,
    )


async def _watch(showing: Showing, plan: Path, root: Path | None) -> None:
    """Look again whenever the plan is saved, or a file of its series. Many editors save by putting a new file in its
    place, and a file that is missing may come: so folders are watched, not files."""
    from watchfiles import awatch

    own, top = plan.parent.resolve(), root_of(plan, root)
    series = [own, *(above for above in own.parents if above.is_relative_to(top))]
    while True:
        folders = {*series, *(path.parent for path in showing.page.shared)}
        async for changes in awatch(*folders, recursive=False):
            if any(Path(path).name == plan.name or Path(path).suffix in _WRITTEN for _, path in changes):
                await showing.look_again()
            if not {path.parent for path in showing.page.shared} <= folders:
                break


def serve(showing: Showing, plan: Path, root: Path | None = None, *, port: int, ready: Callable[[str], None]) -> None:
    """Serve until Ctrl-C. `ready` is given the page's address once it can be asked for.

    Port 0 is any that is free. Raises MachineError where the port is taken or forbidden.
    """
    import uvicorn

    listener = socket.socket()
    try:
        listener.bind((LOOPBACK, port))
    except OSError as error:
        listener.close()
        reason = error.strerror or str(error)
        raise MachineError(
            f"The page cannot be served on port {port}: {reason}.", remedy="Name another port, or none for a free one."
        ) from None
    with listener:
        address = f"http://{LOOPBACK}:{listener.getsockname()[1]}/"
        # An open page never ends its request by itself; Ctrl-C does not wait for it.
        config = uvicorn.Config(
            application(showing, plan, root), log_level="critical", timeout_graceful_shutdown=1, server_header=False
        )
        listener.listen()
        ready(address)
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listener])
