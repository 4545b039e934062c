"""The reference page: whole without a network, under a strict policy."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.browser.conftest import Open

METHODS = ("get", "put", "post", "patch", "delete")


def test_docs_list_every_operation(opened: Open, keep: Callable[[Page, str], None], address: str) -> None:
    watch = opened("/docs")
    document = watch.page.request.get(f"{address}/openapi.json").json()
    operations = [
        (method, path) for path, item in document["paths"].items() for method in item if method in METHODS
    ]
    watch.page.locator(".opblock").first.wait_for()
    expect(watch.page.locator(".opblock")).to_have_count(len(operations))
    shown = watch.page.locator(".opblock-summary-path").evaluate_all(
        "(all) => all.map((one) => one.getAttribute('data-path'))"
    )
    assert sorted(shown) == sorted(path for _, path in operations)
    keep(watch.page, "docs-1440")
    assert watch.faults() == []


def test_docs_call_an_operation(opened: Open) -> None:
    """Opened, filled and sent with nothing stopped by the policy and nothing asked of another host."""
    watch = opened("/docs")
    design = watch.page.locator("#operations-designs-createDesign")
    design.locator(".opblock-summary-control").click()
    design.get_by_role("button", name="Try it out").click()
    with watch.page.expect_response("**/v1/designs") as answered:
        design.get_by_role("button", name="Execute").click()
    assert answered.value.status == 200
    expect(design.locator(".live-responses-table tbody .response-col_status").first).to_contain_text("200")
    assert watch.faults() == []


def test_docs_policy_is_seen_to_stop_a_script(opened: Open) -> None:
    """The watch itself: an inline script and a call to another host are told."""
    watch = opened("/docs")
    watch.page.evaluate(
        "() => { const one = document.createElement('script'); one.textContent = 'window.ran = 1';"
        " document.body.append(one); return fetch('http://deck.invalid/').catch(() => null); }"
    )
    assert watch.page.evaluate("window.ran") is None
    assert {found.split()[0] for found in watch.violations()} == {"script-src-elem", "connect-src"}
