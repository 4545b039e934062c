"""Pictures and the permit package on the try page."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Open


@pytest.mark.parametrize(("sheet", "title"), [("framing_plan", "Framing plan"), ("section", "Section")])
def test_try_shows_a_sheet_as_a_picture(opened: Open, address: str, sheet: str, title: str) -> None:
    watch = opened()
    watch.submit()
    picture = watch.page.locator(f"figure[data-sheet={sheet}] img")
    expect(picture).to_have_attribute("src", re.compile(rf"^blob:{re.escape(address)}/"))
    assert picture.evaluate("async (one) => { await one.decode(); return one.naturalWidth; }") > 100
    with watch.page.expect_popup() as alone:
        watch.page.get_by_role("link", name=f"Open {title.lower()} alone").click()
    expect(alone.value.locator("svg").first).to_be_visible()
    words = picture.get_attribute("alt") or ""
    assert words.startswith(
        f"{title} of the deck, 16'-0\" by 12'-0\", 3'-0\" above the ground: 13 joists 2x8"
    )
    assert watch.faults() == []


@pytest.mark.parametrize("paper", ["letter", "tabloid"])
def test_try_saves_the_permit_package(opened: Open, paper: str) -> None:
    watch = opened()
    watch.submit()
    watch.page.get_by_label("Paper").select_option(paper)
    with watch.page.expect_request("**/v1/permit-packages") as asked, watch.page.expect_download() as saved:
        watch.page.get_by_role("button", name="Permit package").click()
    assert asked.value.post_data_json["paper"] == paper
    assert saved.value.suggested_filename == "permit-package.pdf"
    assert saved.value.path().read_bytes().startswith(b"%PDF-")
