"""The try page while what is typed, the service and the line change under it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import Open

OUTLINE = "/levels/0/outline_ft"
Keep = Callable[[Page, str], None]


def test_try_an_answer_to_what_stood_there_before_says_so(opened: Open, keep: Keep) -> None:
    """A yes is never shown beside other sizes as if it were theirs."""
    watch = opened()
    watch.submit()
    result, status = watch.page.locator(".result"), watch.page.locator(".status").first
    expect(result).not_to_have_class(re.compile("old"))
    watch.field("/levels/0/width_ft").fill("99")
    expect(result).to_have_class(re.compile("old"))
    before = "getComputedStyle(one, '::before').content"
    assert "Before the change" in watch.page.locator(".result h2").evaluate(f"(one) => {before}")
    assert "stood in the form before" in status.evaluate("(one) => getComputedStyle(one, '::after').content")
    watch.part("order").scroll_into_view_if_needed()
    expect(status).to_be_in_viewport(ratio=1)
    keep(watch.page, "outdated-1440")
    # typed back, and nothing has changed
    watch.field("/levels/0/width_ft").fill("16'-0\"")
    expect(result).not_to_have_class(re.compile("old"))
    assert watch.faults() == []


def test_try_of_two_quick_changes_the_last_one_wins(opened: Open) -> None:
    watch = opened()
    watch.submit()
    late: list[Route] = []
    watch.page.route("**/v1/designs", lambda route: late.append(route) if not late else route.continue_())
    watch.fill("/levels/0/width_ft", "10")
    expect(watch.page.locator(".result")).to_have_class(re.compile("old"))
    watch.fill("/levels/0/width_ft", "12")
    expect(watch.page.locator(".result")).not_to_have_class(re.compile("old"))
    posted = json.loads(watch.shown_json("spec").text_content() or "")
    assert (len(late), posted["levels"][0]["width_ft"]) == (1, 12)


@pytest.mark.parametrize("body", ['{"verdict":', "null", "<html>"])
def test_try_an_answer_that_is_none_is_told(opened: Open, body: str) -> None:
    watch = opened()
    watch.submit()
    watch.page.route("**/v1/designs", lambda route: route.fulfill(content_type="application/json", body=body))
    watch.fill("/levels/0/width_ft", "15")
    expect(watch.page.locator(".result h2")).to_have_text("Not worked out")
    expect(watch.page.get_by_role("status").first).to_contain_text("Not worked out: The answer")
    watch.page.unroute("**/v1/designs")
    watch.submit()
    expect(watch.page.locator(".result h2")).to_have_text("Within the tables")


def test_try_of_two_places_the_last_ones_choices_stay(opened: Open) -> None:
    watch = opened()
    watch.submit()
    late: list[Route] = []
    place = watch.field("/jurisdiction")
    values = place.locator("option").evaluate_all("(all) => all.map((one) => one.value)")
    watch.page.route("**/v1/options*", lambda route: late.append(route) if not late else route.continue_())
    place.select_option(values[1])
    with watch.page.expect_response("**/v1/options*"):
        place.select_option(values[2])
    watch.settled()
    expect(watch.page.locator(".result")).not_to_have_class(re.compile("old"))
    (first,) = late
    assert values[1] in first.request.url
    # it was given up, so its answer cannot come after the last one's
    assert first.request.failure == "net::ERR_ABORTED"


def test_try_what_was_typed_is_there_after_a_look_elsewhere(opened: Open) -> None:
    watch = opened()
    page = watch.page
    watch.fill("/levels/0/width_ft", "14' 6\"")
    watch.field("/house/wall").select_option("none")
    page.get_by_role("checkbox", name="Add a stair").check()
    page.get_by_role("radio", name="Corners").check()
    watch.field(OUTLINE).fill("0, 0\n9, 0\n9, 8\n0, 8")
    page.goto("/docs")
    page.go_back()
    expect(watch.field(OUTLINE)).to_have_value("0, 0\n9, 0\n9, 8\n0, 8")
    expect(watch.field("/house/rim_depth_in")).to_be_hidden()
    expect(watch.field("/stairs/0/edge")).to_be_visible()
    page.get_by_role("radio", name="Rectangle").check()
    page.reload()
    expect(watch.field("/levels/0/width_ft")).to_have_value("14' 6\"")
    expect(page.get_by_role("radio", name="Rectangle")).to_be_checked()
    watch.submit()
    posted = json.loads(watch.shown_json("spec").text_content() or "")
    assert (posted["levels"][0]["width_ft"], posted["house"]) == (14.5, {"wall": "none"})
    assert watch.faults() == []


TWO = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Two yards</title>
<style>deck-framing { color-scheme: light; } #a { --deck-accent: rgb(120, 20, 90); }
#b { --deck-accent: rgb(0, 90, 20); }</style>
<deck-framing id="a" jurisdiction="alder-county"></deck-framing>
<deck-framing id="b" jurisdiction="ketterwick-township"></deck-framing>
<script type="module" src="/assets/try/deck-framing.js"></script></html>"""


def test_try_two_elements_on_one_page_keep_apart(opened: Open) -> None:
    """Each has its colours, its place and its answer; the page's own history is left alone."""
    watch = opened("/health/live")
    page = watch.page
    page.route("**/yards", lambda route: route.fulfill(content_type="text/html", body=TWO))
    page.goto("/yards")
    first, second = page.locator("#a"), page.locator("#b")
    colour = "(one) => getComputedStyle(one).backgroundColor"
    buttons = [one.get_by_role("button", name="Work it out") for one in (first, second)]
    assert [one.evaluate(colour) for one in buttons] == ["rgb(120, 20, 90)", "rgb(0, 90, 20)"]
    second.locator("#f-levels-0-width-ft").fill("10")
    buttons[1].click()
    expect(second.locator(".result h2")).to_have_text("Within the tables")
    expect(first.locator(".result h2")).to_have_count(0)
    expect(first.locator("#f-levels-0-width-ft")).to_have_value("16'-0\"")
    assert page.evaluate("history.state") is None
    assert watch.faults() == []
