"""A page under watch, and the few things every test does with the try page."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

WCAG_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# An answer other than 200 is written to the console too; the tests that expect one look at the page.
_ANSWERED = "Failed to load resource: the server responded with a status of "
_TELL_VIOLATIONS = """
window.violations = [];
document.addEventListener("securitypolicyviolation",
  (event) => window.violations.push(`${event.violatedDirective} ${event.blockedURI}`));
"""


class Watch:
    """A page with what it wrote to the console, what it asked other hosts for and what its policy stopped."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.said: list[str] = []
        self.elsewhere: list[str] = []
        page.add_init_script(_TELL_VIOLATIONS)
        page.on("console", lambda message: self._heard(message.type, message.text))
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("request", lambda request: self._asked(request.url, address))

    def _heard(self, kind: str, text: str) -> None:
        if kind in ("error", "warning") and not text.startswith(_ANSWERED):
            self.said.append(text)

    def _asked(self, url: str, address: str) -> None:
        if not url.startswith((f"{address}/", "data:", f"blob:{address}/")):
            self.elsewhere.append(url)

    def violations(self) -> list[str]:
        return self.page.evaluate("window.violations")

    def faults(self) -> list[str]:
        """Everything that should not have happened."""
        return [*self.said, *self.elsewhere, *self.violations()]

    def field(self, pointer: str) -> Locator:
        """The control of a field of the spec, by its pointer."""
        return self.page.locator(f"#f{pointer.replace('/', '-').replace('_', '-')}")

    def fill(self, pointer: str, text: str) -> None:
        """Type into a field and leave it."""
        self.field(pointer).fill(text)
        self.field(pointer).blur()

    def submit(self) -> None:
        self.page.get_by_role("button", name="Work it out").click()
        self.settled()

    def settled(self) -> None:
        """Wait until an answer or a refusal is shown, pictures too."""
        self.page.locator(".status", has_text="Working it out").wait_for(state="detached")
        self.page.locator(".result h2").wait_for()
        self.page.get_by_text("being drawn…").first.wait_for(state="detached")

    def built(self, name: str) -> str:
        """What the frame says of a part."""
        return " ".join(self.page.locator(f"dt:text-is('{name}') + dd").all_inner_texts())

    def part(self, name: str) -> Locator:
        return self.page.locator(f".part.{name}")

    def shown_json(self, key: str) -> Locator:
        self.page.locator(f"details[data-key={key}] > summary").click()
        shown = self.page.locator(f"details[data-key={key}] pre")
        expect(shown).not_to_be_empty()
        return shown

    def unfold(self) -> None:
        self.page.evaluate(
            "for (const one of document.querySelector('deck-framing').shadowRoot.querySelectorAll('details'))"
            " one.open = true"
        )

    def wcag(self) -> list[str]:
        """Return every violation axe-core finds, with the elements it is of."""
        options: dict[str, Any] = {"runOnly": {"type": "tag", "values": WCAG_TAGS}}
        found = Axe().run(self.page, options=options).response
        assert len(found["passes"]) > 10
        return [f"{one['id']}: {node['target']}" for one in found["violations"] for node in one["nodes"]]

    def too_wide_px(self) -> int:
        """How far the page reaches over the right edge of the screen."""
        return self.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
