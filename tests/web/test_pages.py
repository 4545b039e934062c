"""The pages: small, whole, with nothing from elsewhere, and served by name alone."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from service.web.assets import asset
from service.web.form_fields import form_fields
from tests.contract.api import call

ASSETS = Path(__file__).parents[2] / "service" / "web" / "assets"
TRY = sorted((ASSETS / "try").iterdir())
OWN = [file for folder in ("try", "docs") for file in sorted((ASSETS / folder).iterdir())]
MOST_BYTES = 150_000
SVG_NAMESPACE = "http://www.w3.org/2000/svg"
SAME_FOR_BOTH = "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
POLICIES = {
    "/": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    f"connect-src 'self'; {SAME_FOR_BOTH}",
    "/docs": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    f"connect-src 'self'; {SAME_FOR_BOTH}",
}
# ways to make markup or code of a text
UNSAFE = ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "DOMParser", "eval(", "Function(",
          "setHTMLUnsafe", "srcdoc", "javascript:")  # fmt: skip


class Tags(HTMLParser):
    """Every tag of a page with its attributes, and the text that stands in scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inline: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        if self.tags and self.tags[-1][0] in ("script", "style") and data.strip():
            self.inline.append(data)

    def addresses(self) -> list[str]:
        return [
            value
            for _, found in self.tags
            for name, value in found.items()
            if name in ("src", "href") and value
        ]


def wanted(path: str) -> list[str]:
    return [at for at in Tags(call("GET", path).text).addresses() if at.startswith("/assets/")]


def test_try_page_weighs_under_150_kb() -> None:
    assert 0 < sum(file.stat().st_size for file in TRY) < MOST_BYTES


def test_try_page_loads_every_file_of_its_folder_and_no_other() -> None:
    reached, waiting = {"index.html"}, {Path(at).name for at in wanted("/")}
    while waiting:
        name = waiting.pop()
        reached.add(name)
        text = (ASSETS / "try" / name).read_text("utf-8")
        named = re.findall(r'"\./([\w-]+\.js)"', text) + re.findall(r'new URL\("([\w.-]+)", HERE\)', text)
        waiting |= set(named) - reached
    assert reached == {file.name for file in TRY}


@pytest.mark.parametrize("path", POLICIES)
def test_page_has_a_strict_policy(path: str) -> None:
    assert call("GET", path).headers["content-security-policy"] == POLICIES[path]
    assert "unsafe" not in POLICIES[path]


@pytest.mark.parametrize("path", POLICIES)
def test_page_has_nothing_inline_and_nothing_from_elsewhere(path: str) -> None:
    page = Tags(call("GET", path).text)
    assert not page.inline
    assert not [
        found for _, found in page.tags if "style" in found or any(name.startswith("on") for name in found)
    ]
    assert all((at.startswith("/") and not at.startswith("//")) or at == "data:," for at in page.addresses())
    assert all(call("GET", at).status_code == 200 for at in page.addresses() if at.startswith("/"))


@pytest.mark.parametrize("file", OWN, ids=lambda file: f"{file.parent.name}/{file.name}")
def test_own_file_names_no_other_host_and_makes_no_markup_of_text(file: Path) -> None:
    text = file.read_text("utf-8").replace(SVG_NAMESPACE, "")
    assert not re.search(r"\w+://|[\"'(]//", text)
    assert not [word for word in UNSAFE if word in text]
    assert len(text.splitlines()) <= 400


def test_fields_of_the_form_are_fields_of_the_spec() -> None:
    text = (ASSETS / "try" / "layout.js").read_text("utf-8")
    named = set(re.findall(r'"([a-z_]+(?:\[\])?(?:\.[a-z_]+)+)"', text))
    assert len(named) > 30
    assert named <= {field.path for field in form_fields()}


@pytest.mark.parametrize(
    ("path", "media_type"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/docs", "text/html; charset=utf-8"),
        ("/assets/try/deck-framing.js", "text/javascript; charset=utf-8"),
        ("/assets/try/look.css", "text/css; charset=utf-8"),
        ("/assets/swagger-ui/swagger-ui-bundle.js", "text/javascript; charset=utf-8"),
        ("/assets/swagger-ui/swagger-ui-bundle.js.LICENSE.txt", "text/plain; charset=utf-8"),
        ("/assets/swagger-ui/manifest.json", "application/json"),
    ],
)
def test_file_has_its_type_and_is_sent_once(path: str, media_type: str) -> None:
    first = call("GET", path)
    assert (first.status_code, first.headers["content-type"]) == (200, media_type)
    assert first.headers["cache-control"] == "public, no-cache"
    assert first.headers["x-content-type-options"] == "nosniff"
    for tag in (first.headers["etag"], f'"x", W/{first.headers["etag"]}'):
        again = call("GET", path, headers={"If-None-Match": tag})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["content-security-policy"] == first.headers["content-security-policy"]
    assert call("GET", path, headers={"If-None-Match": '"x"'}).content == first.content
    head = call("HEAD", path, headers={"Accept-Encoding": "identity"})
    assert (head.content, head.headers["content-length"]) == (b"", str(len(first.content)))


@pytest.mark.parametrize(
    "path",
    [
        "/assets",
        "/assets/try",
        "/assets/try/",
        "/assets/try/no.js",
        "/assets/try/..%2Fswagger-ui%2Fmanifest.json",
        "/assets/try/%2e%2e%2fdocs%2fstart.js",
        "/assets/try/..%5C..%5Cassets.py",
        "/assets/../assets.py",
        "/assets/%2e%2e/assets.py",
        "/assets/./assets.py",
        "/assets/try/deck-framing.js%00.html",
        "/assets/try/DECK-FRAMING.JS",
        "/assets/swagger-ui/LICENSE",
        "/assets/try/" + "a" * 300,
    ],
)
def test_only_files_named_are_served(path: str) -> None:
    answer = call("GET", path)
    assert (answer.status_code, answer.json()["code"]) == (404, "not_found")


@pytest.mark.parametrize(
    ("folder", "name"),
    [
        ("try", "../docs/start.js"),
        ("..", "assets.py"),
        ("", "assets.py"),
        ("try", ""),
        ("try", "."),
        (".", "try"),
    ],
)
def test_name_is_no_path(folder: str, name: str) -> None:
    assert asset(folder, name) is None
