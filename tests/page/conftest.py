"""Pages for the tests of the page, and a clock for its sound that a test can set."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from overlay.pipeline import build

STUBBED_CLOCK = """
    // An audio clock that the test sets; what is scheduled on it can be rendered afterwards.
    window.now = 0;
    window.AudioContext = class extends OfflineAudioContext {
        constructor() { super(1, window.samples ?? 48000, window.rateHz ?? 48000); window.audio = this; }
        get currentTime() { return window.now; }
        get state() { return 'running'; }
        async resume() {}
    };
"""


STEPPED = """
    // The player's timer is called by the test.
    window.ticks = [];
    window.setInterval = tick => window.ticks.push(tick);
    window.clearInterval = () => {};
"""


@pytest.fixture(scope="session")
def page_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """Builds the page of a plan, given as text or as a file, from the command's own function, once, and what else is
    named; gives its path."""
    made: dict[str | Path, Path] = {}

    def page_of(plan: str | Path, also: str = "tones") -> Path:
        if plan not in made:
            folder = tmp_path_factory.mktemp("page")
            path = plan if isinstance(plan, Path) else folder / "class.yaml"
            if isinstance(plan, str):
                path.write_text(plan, encoding="utf-8")
            made[plan] = build(path, out=folder / "out", only=["rehearsal", also]).folder / "rehearsal.html"
        return made[plan]

    return page_of


@pytest.fixture
def opened(browser: Any, page_of: Callable[[str | Path], Path]) -> Iterator[Callable[..., Any]]:
    """Opens the page of a plan from the disk. Fails when the page makes an error or asks the network for anything."""
    contexts: list[Any] = []
    troubles: list[str] = []

    def opened(plan: str | Path, *, size: tuple[int, int] = (1280, 800), stub: str = "", **options: Any) -> Any:
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: troubles.append(f"error: {error}"))
        page.on("console", lambda message: troubles.append(message.text) if message.type == "error" else None)
        page.on("request", lambda request: troubles.append(request.url) if _is_network(request.url) else None)
        page.on("dialog", lambda dialog: (troubles.append(f"dialog: {dialog.message}"), dialog.dismiss()))
        if stub:
            page.add_init_script(stub)
        page.goto(page_of(plan).as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert troubles == []


def _is_network(url: str) -> bool:
    return not url.startswith(("file:", "data:"))


@pytest.fixture(scope="session")
def stubbed_clock() -> str:
    """The script that puts a clock of the test's in the place of the browser's audio."""
    return STUBBED_CLOCK


@pytest.fixture(scope="session")
def stepped_clock() -> str:
    """The same, and the player's timer is left to the test as well, so that time goes on without waiting."""
    return STUBBED_CLOCK + STEPPED
