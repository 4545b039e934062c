"""Places' law over real HTTP and a real PostgreSQL, from draft to version."""

from __future__ import annotations

import re

import pytest

from tests.integration.price_service import day
from tests.integration.rule_service import DRAFTS, PLACES, Hand, discarded


def test_a_place_from_draft_to_version(writer: Hand, publisher: Hand, stranger: Hand, nobody: Hand) -> None:
    made = writer.begin({"from": "alder-county@1"}, PLACES)
    draft, url = made.json(), made.json()["url"]
    document = draft["document"]
    assert re.search(r"(?m)^version = (\d+)$", document)[1] == str(draft["version"])
    assert nobody.ask("GET", url).status_code == stranger.ask("GET", url).status_code == 404
    deeper = document.replace("frost_depth_in = 32", "frost_depth_in = 40").replace(
        "version = 2", "version = 9"
    )
    changed = writer.ask("PATCH", url, made.headers["etag"], json={"document": deeper})
    assert "version = 2" in changed.json()["document"]
    assert writer.ask("POST", f"{url}/validate").json()["valid"] is True
    found = writer.ask("GET", f"{PLACES}/1/compare?with=alder-county@2").json()
    assert found["changes"] == [{"name": "site.frost_depth_in", "old": "32", "new": "40"}]
    tag = changed.headers["etag"]
    published = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(2)})
    assert published.status_code == 200, published.text
    assert (published.json()["state"], published.json()["in_force_from"]) == ("announced", day(2))
    assert published.json()["published_on"] == day(0)
    text = nobody.ask("GET", url, headers={"Accept": "application/toml"})
    assert (text.text, text.headers["cache-control"]) == (changed.json()["document"], "public, max-age=86400")
    versions = nobody.ask("GET", PLACES).json()["items"]
    assert [(one["version"], one["state"], one["in_force_to"]) for one in versions] == [
        (1, "in_force", day(1)), (2, "announced", None),
    ]  # fmt: skip
    assert nobody.ask("GET", "/v1/jurisdictions/alder-county").json()["site"]["frost_depth_in"] == 32
    withdrawn = publisher.ask("POST", f"{url}/withdraw")
    assert (withdrawn.status_code, withdrawn.json()["state"]) == (200, "withdrawn")
    assert nobody.ask("GET", f"{PLACES}/1").json()["in_force_to"] is None


def test_a_place_that_adopts_what_nobody_has_is_not_published(
    writer: Hand, publisher: Hand, nobody: Hand
) -> None:
    document = nobody.ask("GET", f"{PLACES}/1").json()["document"]
    made = writer.begin({"document": document.replace('"irc-2018"', '"irc-1999"')}, PLACES)
    url, tag = made.json()["url"], made.headers["etag"]
    found = writer.ask("POST", f"{url}/validate").json()
    assert [(fault["table"], fault["column"]) for fault in found["faults"]] == [(None, "adoptions")]
    assert "irc-1999 is no code" in found["faults"][0]["text"]
    refused = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(30)})
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (422, "rule_text")
    unread = writer.ask("PATCH", url, tag, json={"document": "id = [\n"})
    assert (unread.json()["name"], unread.json()["digest"], unread.json()["draft"]["valid"]) == (
        None,
        None,
        False,
    )
    compared = writer.ask("GET", f"{url}/compare?with=alder-county@1")
    assert (compared.status_code, compared.json()["code"]) == (409, "publishing_conflict")
    discarded(writer, url, unread.headers["etag"])


def test_a_time_zone_nobody_knows_is_not_published(writer: Hand, publisher: Hand, nobody: Hand) -> None:
    document = nobody.ask("GET", f"{PLACES}/1").json()["document"]
    spelt = re.sub(r"(?m)^time_zone = .*$", 'time_zone = "America/new_york"', document)
    made = writer.begin({"document": spelt}, PLACES)
    url, tag = made.json()["url"], made.headers["etag"]
    assert made.json()["draft"]["valid"] is False
    found = writer.ask("POST", f"{url}/validate").json()
    assert [(one["column"], found["valid"]) for one in found["faults"]] == [("time_zone", False)]
    assert "no time zone America/new_york" in found["faults"][0]["text"]
    refused = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(30)})
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (422, "rule_text")
    assert nobody.ask("GET", "/v1/jurisdictions/alder-county").status_code == 200
    discarded(writer, url, tag)


BOMBS = {
    "dotted_key": ".".join(["a"] * 60_000) + " = 1\n",
    "arrays": "x = " + "[\n" * 2000 + "]\n" * 2000,
    "inline_tables": f"x = {'{a = ' * 500}1{'}' * 500}\n",
    "decimal": f"x = {'9' * 3_990}\n",
    "huge_decimal": f"x = {'9' * 100_000}\n",
    "hexadecimal": f"x = 0x{'f' * 3_980}\n",
}


@pytest.mark.parametrize("name", BOMBS)
def test_a_document_that_would_cost_much_to_read_is_a_draft_with_a_fault(
    name: str, writer: Hand, publisher: Hand
) -> None:
    made = writer.begin({"document": BOMBS[name]}, PLACES)
    url, tag = made.json()["url"], made.headers["etag"]
    assert (made.json()["name"], made.json()["draft"]["valid"]) == (None, False)
    found = writer.ask("POST", f"{url}/validate")
    assert (found.status_code, found.json()["valid"], len(found.json()["faults"])) == (200, False, 1)
    assert len(found.json()["faults"][0]["text"]) < 300
    compared = writer.ask("GET", f"{url}/compare?with=alder-county@1")
    assert (compared.status_code, compared.json()["code"]) == (409, "publishing_conflict")
    refused = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(30)})
    assert refused.status_code == 422, refused.text
    changed = writer.ask("PATCH", url, tag, json={"document": f"{BOMBS[name]}# again\n"})
    assert (changed.status_code, changed.json()["draft"]["valid"]) == (200, False)
    assert writer.ask("GET", PLACES).status_code == 200
    discarded(writer, url, changed.headers["etag"])


def test_methods_of_each_path_are_told(nobody: Hand) -> None:
    for path, allowed in (
        (DRAFTS, "GET, HEAD, OPTIONS, POST"),
        (f"{PLACES}/1", "DELETE, GET, HEAD, OPTIONS, PATCH"),
    ):
        assert nobody.ask("OPTIONS", path).headers["allow"] == allowed
