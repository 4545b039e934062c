"""The try page as people use it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from service.units.text import feet_inches
from tests.browser.conftest import Open
from tests.browser.watch import Watch

OUTLINE = "/levels/0/outline_ft"
HEIGHT = "/levels/0/surface_height_in"
CROSSED = "0, 0\n10, 10\n10, 0\n0, 10"
Keep = Callable[[Page, str], None]


def test_try_form_gives_a_whole_answer(opened: Open, keep: Keep) -> None:
    watch = opened()
    watch.fill("/levels/0/width_ft", "14' 6\"")
    watch.submit()
    page = watch.page
    expect(page.locator(".result h2")).to_have_text("Within the tables")
    expect(page.locator(".result h2")).to_be_focused()
    expect(page.get_by_role("status").first).to_contain_text("Within the tables. 2 footings. Order")
    answer = json.loads(watch.shown_json("answer").text_content() or "")
    posted = json.loads(watch.shown_json("spec").text_content() or "")
    assert (posted["levels"][0]["width_ft"], answer["resolved_spec"]["levels"][0]["width_ft"]) == (14.5, 14.5)
    assert answer["verdict"]["status"] == "prescriptive"
    joists = answer["levels"][0]["joists"][0]
    assert f"{joists['count']} of {joists['size']}" in watch.built("Joists")
    whole, _, cents = answer["takeoff"]["total"]["amount"].partition(".")
    expect(watch.part("order")).to_contain_text(f"Total {int(whole):,}.{cents} USD")
    boards = watch.part("order").locator("table").first.locator("tbody tr").all_inner_texts()
    for line, row in zip(answer["takeoff"]["stock"], boards, strict=True):
        # the length bought, and no other: descriptions name the shortest one sold
        assert f", {feet_inches(line['length_ft'] * 12)}\t{line['quantity']}\t{line['unit_price']}\t" in row
        assert " ft" not in row
    for caution in answer["cautions"]:
        expect(watch.part("cautions")).to_contain_text(caution["text"].rstrip(".")[1:])
    assert watch.part("checks").locator("tbody tr").count() == len(answer["checks"])
    keep(page, "answer-1440")
    assert watch.faults() == []


def test_try_costs_and_days_stand_in_the_chart_and_in_the_table(opened: Open) -> None:
    watch = opened()
    watch.submit()
    answer = json.loads(watch.shown_json("answer").text_content() or "")
    methods = answer["footing_comparison"]["methods"]
    rows = watch.part("footings").locator("tbody tr").all_inner_texts()
    charts = watch.part("footings").locator("svg[role=img]")
    expect(charts).to_have_count(2)
    assert len(rows) == len(methods) == 6
    for method, row in zip(methods, rows, strict=True):
        if method["feasible"]:
            likely, days = method["cost"]["likely"], method["schedule"]["first_framing_working_day"]
            assert likely in row.replace(",", "")
            assert f"{days['likely']:g}" in row
    drawn = [one for one in methods if one["feasible"]]
    costs = [[float(one["cost"][part]) for part in ("low", "likely", "high")] for one in drawn]
    bars = charts.first.locator("rect").evaluate_all(
        "(all) => all.map((one) => [one.x.baseVal.value, one.x.baseVal.value + one.width.baseVal.value])"
    )
    marks = charts.first.locator(".likely").evaluate_all("(all) => all.map((one) => one.x1.baseVal.value)")
    scale = max(end for _, end in bars) / max(high for _, _, high in costs)
    for (start, end), mark, (low, likely, high) in zip(bars, marks, costs, strict=True):
        assert (start, mark) == pytest.approx((low * scale, likely * scale), abs=0.01)
        # no bar is thinner than can be seen
        assert end == pytest.approx(max(high * scale, start + 2), abs=0.01)
    assert charts.first.evaluate(
        "(chart) => chart.getAttribute('aria-labelledby').split(' ').every("
        "(id) => chart.getRootNode().getElementById(id).textContent.length > 10)"
    )


def test_try_guard_appears_over_30_in(opened: Open, keep: Keep) -> None:
    """A guard is needed where the surface is more than 30 in above grade: IRC R312.1.1."""
    watch = opened()
    watch.fill("/house/door_sill_height_in", "31 1/2")
    watch.fill(HEIGHT, "30")
    watch.submit()
    assert watch.built("Guards") == "None needed"
    watch.fill("/house/door_sill_height_in", "32")
    watch.settled()
    watch.fill(HEIGHT, "30 1/2")
    expect(watch.page.locator("dt:text-is('Guards') + dd")).to_contain_text("3 runs, 3'-0\" high")
    # the change alone did it, and left the person in the form
    expect(watch.page.locator(".result h2")).not_to_be_focused()
    keep(watch.page, "guard-1440")
    assert watch.faults() == []


@pytest.mark.parametrize("width", [390, 1440])
def test_try_broken_outline_is_told_at_the_field(opened: Open, keep: Keep, width: int) -> None:
    watch = opened(width=width)
    watch.page.get_by_role("radio", name="Corners").check()
    watch.field(OUTLINE).fill(CROSSED)
    watch.submit()
    field = watch.field(OUTLINE)
    expect(field).to_be_focused()
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_accessible_description(re.compile("Edges 0 and 2 meet or cross"))
    expect(watch.page.get_by_role("status").first).to_have_text("Not worked out: one thing to put right.")
    assert watch.too_wide_px() <= 0
    keep(watch.page, f"problem-{width}")
    watch.fill(OUTLINE, "0, 0\n16', 0\n16, 8\n8' 0\", 12\n0, 12")
    watch.settled()
    expect(field).not_to_have_attribute("aria-invalid", "true")
    expect(field).not_to_have_accessible_description(re.compile("Edges 0 and 2"))
    expect(watch.page.locator(".result h2")).not_to_have_text("Not worked out")
    assert watch.faults() == []


def test_try_every_fault_stands_at_its_own_field(opened: Open) -> None:
    watch = opened()
    watch.fill("/levels/0/width_ft", "wide")
    watch.fill(HEIGHT, "999")
    watch.page.get_by_role("checkbox", name="Add a stair").check()
    watch.fill("/stairs/0/width_in", "2")
    watch.submit()
    for pointer in ("/levels/0/width_ft", HEIGHT, "/stairs/0/width_in"):
        expect(watch.field(pointer)).to_have_attribute("aria-invalid", "true")
        assert watch.field(pointer).evaluate(
            "(one) => one.getAttribute('aria-describedby').split(' ').map("
            "(id) => one.getRootNode().getElementById(id).textContent).join('')"
        )
    expect(watch.field("/levels/0/width_ft")).to_be_focused()
    expect(watch.field("/levels/0/projection_ft")).not_to_have_attribute("aria-invalid", "true")
    watch.page.get_by_role("button", name="Surface height").click()
    expect(watch.field(HEIGHT)).to_be_focused()


def test_try_with_the_keyboard_alone(opened: Open) -> None:
    watch = opened()
    page = watch.page
    page.get_by_role("button", name="Work it out").wait_for()
    reached = []
    for _ in range(60):
        page.keyboard.press("Tab")
        at = page.evaluate("document.activeElement.shadowRoot?.activeElement?.id ?? ''")
        reached.append(at)
        if at == "f-levels-0-surface-height-in":
            break
    assert reached.index("f-jurisdiction") < reached.index("f-levels-0-width-ft")
    page.keyboard.press("Control+A")
    page.keyboard.type("2' 6\"")
    page.keyboard.press("Enter")
    watch.settled()
    expect(page.locator(".result h2")).to_be_focused()
    outline = page.evaluate("getComputedStyle(document.activeElement.shadowRoot.activeElement).outlineStyle")
    assert outline != "none"
    assert watch.built("Guards") == "None needed"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.shadowRoot.activeElement !== null")


def test_try_stair_and_hot_tub_go_into_the_spec(opened: Open) -> None:
    watch = opened()
    watch.page.get_by_role("checkbox", name="Add a stair").check()
    watch.page.get_by_role("checkbox", name="Add a hot tub").check()
    watch.submit()
    posted = json.loads(watch.shown_json("spec").text_content() or "")
    assert posted["stairs"] == [{"edge": 2, "offset_ft": 6, "width_in": 48}]
    assert posted["heavy_objects"][0]["kind"] == "hot_tub"
    expect(watch.page.locator(".result h2")).to_have_text("An engineer is needed")
    expect(watch.part("verdict")).to_contain_text("Hot tub of 4600 lb")
    assert "risers of" in watch.built("Stairs")
    watch.page.get_by_role("checkbox", name="Add a hot tub").uncheck()
    expect(watch.page.locator(".result h2")).to_have_text("Within the tables")


def test_try_offers_what_the_service_offers(opened: Open, address: str) -> None:
    watch = opened()
    offered = watch.page.request.get(f"{address}/v1/options").json()
    fields = {field["path"]: field for field in offered["fields"]}
    for pointer, path in (("/house/wall", "house.wall"), ("/foundation/method", "foundation.method")):
        watch.field(pointer).wait_for()
        values = watch.field(pointer).locator("option").evaluate_all("(all) => all.map((one) => one.value)")
        assert values == [choice["value"] for choice in fields[path]["choices"]]
    places = watch.field("/jurisdiction").locator("option").all_inner_texts()
    assert places == [place["name"] for place in offered["jurisdictions"]]
    watch.field("/house/wall").select_option("none")
    expect(watch.field("/house/rim_depth_in")).to_be_hidden()


def test_try_notice_is_there_before_and_after(opened: Open) -> None:
    watch = opened(width=390)
    notice = watch.page.get_by_text("No permit, and no engineer's design.")
    expect(notice).to_be_visible()
    watch.submit()
    expect(notice).to_be_visible()
    expect(watch.part("cautions").locator("li").first).to_be_visible()
    text = watch.page.locator("deck-framing").inner_text().lower()
    assert "approved" not in re.sub(r"does not mean approved", "", text)


@pytest.mark.parametrize("sent", ["/v1/drawings", "/v1/permit-packages"])
def test_try_copes_without_drawings(opened: Open, sent: str) -> None:
    watch = opened()
    watch.page.route(f"**{sent}", lambda route: route.abort())
    watch.submit()
    if sent == "/v1/drawings":
        expect(watch.part("drawings")).to_contain_text("Framing plan: the drawing could not be had.")
        expect(watch.part("drawings")).to_contain_text("Section: the drawing could not be had.")
    else:
        watch.page.get_by_role("button", name="Permit package").click()
        expect(watch.part("drawings")).to_contain_text("The package could not be had.")
    expect(watch.part("order")).to_contain_text("Total")


def test_try_shows_text_of_the_service_as_text(opened: Open) -> None:
    """Markup in a text of an answer is shown, not taken."""
    watch = opened()
    hostile = "<img src=x onerror=window.hit=1><script>window.hit=1</script>"

    def spoil(route: Route) -> None:
        report: dict[str, Any] = route.fetch().json()
        report["verdict"]["reasons"] = [
            {"code": "heavy_object", "text": hostile, "member": None, "citation": None}
        ]
        report["cautions"][0]["text"] = hostile
        report["checks"][0]["member"] = hostile
        report["takeoff"]["stock"][0]["item"] = hostile
        report["footing_comparison"]["methods"][0]["method"] = hostile
        route.fulfill(json=report)

    watch.page.route("**/v1/designs", spoil)
    watch.submit()
    watch.unfold()
    assert (watch.part("verdict").locator("li").inner_text()).startswith("<img src=x")
    assert watch.page.locator(".result img[src=x], .result script").count() == 0
    assert watch.page.evaluate("window.hit") is None


def test_try_json_is_copied(opened: Open) -> None:
    watch = opened()
    watch.submit()
    shown = watch.shown_json("spec").text_content()
    watch.page.locator("details[data-key=spec]").get_by_role("button", name="Copy").click()
    expect(watch.page.locator("details[data-key=spec]")).to_contain_text("Copied.")
    assert watch.page.evaluate("navigator.clipboard.readText()") == shown


@pytest.mark.parametrize("width", [390, 1440])
def test_try_is_never_wider_than_the_screen(opened: Open, keep: Keep, width: int) -> None:
    watch = opened(width=width)
    watch.page.get_by_role("button", name="Work it out").wait_for()
    assert watch.too_wide_px() <= 0
    keep(watch.page, f"form-{width}")
    watch.submit()
    watch.unfold()
    assert watch.too_wide_px() <= 0
    keep(watch.page, f"answer-unfolded-{width}")


def test_try_form_scrolls_by_itself_on_a_wide_screen(opened: Open) -> None:
    """It stays beside the answer, its button in reach, and hangs out of nothing."""
    watch = opened()
    show(watch, "form")
    assert watch.page.evaluate("document.documentElement.scrollHeight - window.innerHeight") < 250
    watch.submit()
    watch.part("permits").scroll_into_view_if_needed()
    expect(watch.page.get_by_role("button", name="Work it out")).to_be_in_viewport(ratio=1)


def test_try_lengths_are_written_as_the_service_writes_them(opened: Open) -> None:
    page = opened().page
    values = [0.0, 0.0625, 0.5, 7.25, 11.9999, 12.0, 37.5, 140.25, 191.9375, 192.0, -12.0, -0.03, 1200.6875]
    written = page.evaluate(
        "async (all) => { const { feetInches } = await import('/assets/try/lengths.js'); return all.map(feetInches); }",
        values,
    )
    assert written == [feet_inches(value) for value in values]


LENGTHS = [
    ("16", "ft", 16), ("16'", "ft", 16), ("16' 6\"", "ft", 16.5), ("16'-6 1/2\"", "ft", 16.541667),
    ("16 1/2", "ft", 16.5), ("16ft 6in", "ft", 16.5), ("16 feet 6 inches", "ft", 16.5), ("16′ 6″", "ft", 16.5),
    ("198\"", "ft", 16.5), (".5", "ft", 0.5), ("37 1/2", "in", 37.5), ("37-1/2", "in", 37.5), ("37.5", "in", 37.5),
    ("1/2", "in", 0.5), ("3' 1 1/2", "in", 37.5), ("3'", "in", 36), ("-12", "in", -12), ("", "in", None),
    ("wide", "ft", None), ("1/0", "in", None), ("16' 6' 2", "ft", None), ("1e3", "ft", None), ("--2", "in", None),
    ("16,5", "ft", None),
]  # fmt: skip


def test_try_lengths_are_read_as_a_tape_is(opened: Open) -> None:
    page = opened().page
    read = page.evaluate(
        "async (all) => { const { lengthOf } = await import('/assets/try/lengths.js');"
        " return all.map(([text, unit]) => lengthOf(text, unit)); }",
        [[text, unit] for text, unit, _ in LENGTHS],
    )
    assert read == [value for _, _, value in LENGTHS]


YARD = """<!doctype html><html lang="en"><meta charset="utf-8"><title>A yard</title>
<style>p { color: rgb(1, 2, 3); } deck-framing { --deck-accent: rgb(120, 20, 90); --deck-panel: rgb(250, 240, 250);
color-scheme: light; }</style><h1>A yard</h1><main>
<deck-framing jurisdiction="alder-county" price-book="brindlemoor-yard"></deck-framing></main>
<script type="module" src="/assets/try/deck-framing.js"></script></html>"""


def test_try_element_on_a_page_of_a_yard(opened: Open, keep: Keep, address: str) -> None:
    """Its colours are the yard's, its styles do not mix with the page's, and the page hears of a design."""
    watch = opened("/health/live")
    page = watch.page
    page.route("**/yard", lambda route: route.fulfill(content_type="text/html", body=YARD))
    page.goto("/yard")
    page.evaluate(
        "document.addEventListener('deck-designed', (event) => { window.heard = event.detail.report.verdict.status; })"
    )
    expect(watch.field("/jurisdiction")).to_have_count(0)
    watch.submit()
    button = page.get_by_role("button", name="Work it out")
    assert button.evaluate("(one) => getComputedStyle(one).backgroundColor") == "rgb(120, 20, 90)"
    panel = watch.part("verdict").evaluate("(one) => getComputedStyle(one).backgroundColor")
    assert panel == "rgb(250, 240, 250)"
    assert (
        watch.part("verdict").locator("p").first.evaluate("(one) => getComputedStyle(one).color")
        != "rgb(1, 2, 3)"
    )
    assert page.evaluate("window.heard") == "prescriptive"
    posted = json.loads(watch.shown_json("spec").text_content() or "")
    assert (posted["jurisdiction"], posted["price_book"]) == ("alder-county", "brindlemoor-yard")
    keep(page, "yard-1440")
    assert watch.faults() == []


def test_try_element_takes_the_address_of_a_service(opened: Open, address: str) -> None:
    watch = opened("/health/live")
    page = watch.page
    yard = YARD.replace("<deck-framing ", "<deck-framing service='/elsewhere/' ")
    page.route("**/yard", lambda route: route.fulfill(content_type="text/html", body=yard))
    with page.expect_request(lambda request: "/v1/options" in request.url) as asked:
        page.goto("/yard")
    assert asked.value.url.startswith(f"{address}/elsewhere/v1/options")


def show(watch: Watch, state: str) -> None:
    watch.page.get_by_role("button", name="Work it out").wait_for()
    if state == "problem":
        watch.page.get_by_role("radio", name="Corners").check()
        watch.field(OUTLINE).fill(CROSSED)
    if state != "form":
        watch.submit()
    watch.unfold()


@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("state", ["form", "answer", "problem"])
def test_try_meets_wcag(opened: Open, keep: Keep, state: str, scheme: str, width: int) -> None:
    """WCAG 2.2 A and AA, as far as axe-core can tell."""
    watch = opened(scheme=scheme, width=width)
    show(watch, state)
    keep(watch.page, f"wcag-{state}-{scheme}-{width}")
    assert watch.wcag() == []


def test_try_wcag_sees_a_fault(opened: Open) -> None:
    """The check itself: a field that loses its label is found."""
    watch = opened()
    show(watch, "form")
    watch.field("/levels/0/width_ft").evaluate(
        "(one) => one.closest('.field').querySelector('label').remove()"
    )
    assert any(found.startswith("label:") for found in watch.wcag())
