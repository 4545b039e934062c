"""Debian's Chromium against a real server with a real PostgreSQL."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from service.app import make_app, make_desk
from service.cli.trial import served
from service.store.reader import load_snapshot
from tests.browser.watch import Watch
from tests.integration.conftest import database, postgres, service_url

__all__ = ["database", "postgres", "service_url"]
SCREENSHOTS = Path(__file__).parents[2] / "build" / "screenshots"
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
    "--disable-default-apps", "--disable-sync", "--no-first-run", "--disable-dev-shm-usage",
]  # fmt: skip
# a narrow and a wide screen
SIZES = {390: 844, 1440: 900}
Open = Callable[..., Watch]
PATIENCE_MS = 30_000
expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="session")
def address(service_url: str) -> Iterator[str]:
    with served(make_app(make_desk(load_snapshot(service_url)))) as found:
        yield found


# one a file, and no longer: while it is open, no test can start a loop of its own
@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    program = shutil.which("chromium")
    assert program, "chromium is not on the PATH: `.ci/run` installs it"
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=program, args=FLAGS)
        yield found
        found.close()


@pytest.fixture
def opened(browser: Browser, address: str) -> Iterator[Open]:
    """Open a path in a window of its own; what the page says, asks for and may not do is kept."""
    contexts = []

    def open_page(path: str = "/", *, width: int = 1440, scheme: str = "light") -> Watch:
        context = browser.new_context(
            base_url=address,
            viewport={"width": width, "height": SIZES[width]},
            color_scheme=scheme,
            permissions=["clipboard-read", "clipboard-write"],
        )
        contexts.append(context)
        watch = Watch(context.new_page(), address)
        watch.page.set_default_timeout(PATIENCE_MS)
        watch.page.goto(path)
        return watch

    yield open_page
    for context in contexts:
        context.close()


@pytest.fixture
def keep() -> Callable[[Page, str], None]:
    """Keep a picture of a whole page for people to look at."""

    def shot(page: Page, name: str) -> None:
        SCREENSHOTS.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=SCREENSHOTS / f"{name}.png", full_page=True)

    return shot
