"""The element on a page of another origin, with a publishable key; and on pages that may not use it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from playwright.sync_api import Browser, Page, expect

from service.app import make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_publishable_key
from service.store.reader import load_snapshot
from service.web.door import door_of

BOOK, FALLBACK = "brindlemoor-yard", "Give us a call."
# all the page lets itself do: what the element needs and openapi/embedding.md names, and no more
POLICY = (
    "default-src 'none'; script-src {0}; style-src {0}; connect-src {0}; img-src blob:; base-uri 'none'; "
    "form-action 'none'"
)
PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A yard</title>
<script type="module" src="{service}/assets/try/deck-framing.js"></script></head>
<body><main><h1>A yard</h1>
<deck-framing service="{service}" key="{key}" jurisdiction="alder-county"><p id="instead">{fallback}</p></deck-framing>
</main></body></html>"""


@dataclass
class Site:
    """A web site of its own, which shows one page."""

    origin: str
    page: str = ""
    policy: str = ""
    asked: list[str] = field(default_factory=list)


@contextmanager
def site() -> Iterator[Site]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            body = found.page.encode()
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Security-Policy", found.policy)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            found.asked.append(self.path)

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    found = Site(f"http://localhost:{server.server_port}")
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield found
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@pytest.fixture(scope="module")
def yard() -> Iterator[Site]:
    with site() as found:
        yield found


@pytest.fixture(scope="module")
def stranger() -> Iterator[Site]:
    with site() as found:
        yield found


@pytest.fixture(scope="module")
def key(database: EmbeddedServer, yard: Site) -> str:
    return create_publishable_key(database.owner_url, "oakline", BOOK, [yard.origin])


@pytest.fixture(scope="module")
def service_address(service_url: str, key: str) -> Iterator[str]:
    """A service that lets nobody design without a key."""
    app = make_app(
        make_desk(load_snapshot(service_url)), Settings(), door=door_of("127.0.0.1", ["127.0.0.1"])
    )
    with served(app) as address:
        yield address


@pytest.fixture
def opened(browser: Browser) -> Iterator[Callable[[Site], Page]]:
    contexts = []

    def show(where: Site) -> Page:
        contexts.append(browser.new_context())
        page = contexts[-1].new_page()
        page.goto(where.origin)
        return page

    yield show
    for context in contexts:
        context.close()


def with_element(where: Site, service: str, key: str) -> Site:
    where.page = PAGE.format(service=service, key=key, fallback=FALLBACK)
    where.policy = POLICY.format(service)
    return where


def test_a_page_of_another_origin_designs_with_its_key(
    opened, yard: Site, service_address: str, key: str
) -> None:
    sent: list[tuple[str, str, int]] = []
    page = opened(with_element(yard, service_address, key))
    page.on(
        "response",
        lambda one: sent.append((one.request.method, one.url.removeprefix(service_address), one.status)),
    )
    complaints: list[str] = []
    page.on("console", lambda one: complaints.append(one.text) if one.type == "error" else None)
    element = page.locator("deck-framing")
    # the one book of the key is settled, and so is the place: neither is asked for
    expect(element.get_by_role("button", name="Work it out")).to_be_visible()
    expect(page.locator("#instead")).to_be_hidden()
    assert element.locator("#f-price-book, #f-jurisdiction").count() == 0
    element.get_by_role("button", name="Work it out").click()
    expect(element.locator(".result h2")).to_have_text("Within the tables")
    expect(element.locator('[data-part="order"], .order').first).to_contain_text("USD")
    for sheet in ("framing_plan", "section"):
        drawn = element.locator(f'figure[data-sheet="{sheet}"] img')
        expect(drawn).to_be_visible()
        page.wait_for_function("(image) => image.naturalWidth > 0", arg=drawn.element_handle())
    with page.expect_download() as saved:
        element.get_by_role("button", name="Permit package").click()
    assert saved.value.suggested_filename == "permit-package.pdf"
    assert ("POST", "/v1/designs", 200) in sent
    assert complaints == []


def test_a_page_that_is_not_registered_gets_nothing(
    opened, stranger: Site, service_address: str, key: str
) -> None:
    """It may not even have the script: what stands inside the element is shown."""
    page = opened(with_element(stranger, service_address, key))
    expect(page.locator("#instead")).to_be_visible()
    assert page.evaluate("customElements.get('deck-framing') === undefined")
    tried = page.evaluate(
        """async ([service, key]) => {
            const headers = { Authorization: `Bearer ${key}`, "Content-Type": "application/json" };
            const told = [];
            for (const [path, request] of [
                ["/v1/options", { headers }], ["/v1/rulebooks", {}],
                ["/v1/designs", { method: "POST", headers, body: "{}" }],
                ["/v1/designs", { method: "POST", mode: "no-cors", body: "{}" }],
            ]) {
                try {
                    const answer = await fetch(service + path, request);
                    told.push(answer.type === "opaque" ? "opaque" : await answer.text());
                } catch (failure) { told.push(failure.name); }
            }
            return told;
        }""",
        [service_address, key],
    )
    assert tried == ["TypeError", "TypeError", "TypeError", "opaque"]


def test_a_page_with_a_key_of_others_says_what_may_be_wrong(
    opened, yard: Site, stranger: Site, service_address: str, database: EmbeddedServer, key: str
) -> None:
    other = create_publishable_key(database.owner_url, "oakline", BOOK, [stranger.origin])
    app = make_app(make_desk(load_snapshot(database.service_url)), door=door_of("127.0.0.1"))
    with served(app) as address:
        page = opened(with_element(yard, address, other))
        said = page.locator("deck-framing").get_by_role("status")
        expect(said).to_contain_text(
            "does not answer this page. Is the line up, and may the key be used from here?"
        )
        page.goto("about:blank")
        with_element(yard, address, f"{key[:-1]}-")
        page.goto(yard.origin)
        expect(page.locator("deck-framing").get_by_role("status")).to_contain_text(
            "this needs a valid key", ignore_case=True
        )


def test_a_secret_key_is_not_sent_from_a_page(opened, yard: Site, service_address: str) -> None:
    page = opened(with_element(yard, service_address, f"secret.{'0' * 16}.{'A' * 43}"))
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.headers.get("authorization", "")))
    page.reload()
    expect(page.locator("deck-framing").get_by_role("status")).to_contain_text(
        "A secret key stands in this page"
    )
    assert [one for one in asked if one] == []
