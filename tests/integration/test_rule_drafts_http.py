"""Rulebooks over real HTTP and a real PostgreSQL: drafts, who sees them, faults, publication, withdrawal."""

from __future__ import annotations

import pytest

from service.rules.kinds import CODE_TABLES
from service.store.embedded import EmbeddedServer
from service.store.key_writer import Bounds, create_key
from tests.integration.price_service import day, until, without_id
from tests.integration.rule_service import DRAFTS, Hand, cells, discarded, span

DECK = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}


def test_a_draft_by_a_change_of_one_row_keeps_every_other_line(writer: Hand, nobody: Hand) -> None:
    made = writer.begin({"from": "irc-2021@1", "changes": [span("138")]})
    draft, tag = made.json(), made.headers["etag"]
    assert made.headers["location"] == draft["url"] == f"{DRAFTS}/{draft['version']}"
    assert made.headers["cache-control"] == "private, no-store"
    assert (draft["state"], draft["in_force_from"], draft["draft"]["based_on"]) == (
        "draft",
        None,
        "irc-2021@1",
    )
    text = {"headers": {"Accept": "text/csv"}}
    before = nobody.ask("GET", f"{DRAFTS}/1/tables/joist_spans", **text).text.splitlines()
    after = writer.ask("GET", f"{draft['url']}/tables/joist_spans", **text).text.splitlines()
    different = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert different == [
        ("40,live,southern_pine,2x8,16,142,,,s008", "40,live,southern_pine,2x8,16,138,,,s008")
    ]
    spans = writer.ask("GET", f"{draft['url']}/tables/joist_spans").json()
    assert [40.0, "live", "southern_pine", "2x8", 16.0, 138.0, None, None, "s008"] in spans["cells"]
    discarded(writer, draft["url"], tag)
    assert writer.ask("GET", draft["url"]).status_code == 404


def test_a_draft_is_seen_by_those_who_may_write_or_publish_it_alone(
    writer: Hand, publisher: Hand, stranger: Hand, nobody: Hand
) -> None:
    made = writer.begin({"from": "irc-2021@1"})
    url, tag = made.json()["url"], made.headers["etag"]
    assert {one.ask("GET", url).status_code for one in (writer, publisher)} == {200}
    for path in (url, f"{url}/tables/joist_spans", f"{url}/compare?with=irc-2021@1"):
        for other in (stranger, nobody):
            hidden, absent = (other.ask("GET", path.replace(url, one)) for one in (url, f"{DRAFTS}/999"))
            assert hidden.status_code == 404
            number = url.rpartition("/")[2]
            assert without_id(hidden, f"@{number}", f"/{number}") == without_id(absent, "@999", "/999")
    hidden = nobody.ask("GET", f"{DRAFTS}/1/compare?with=irc-2021@{url.rpartition('/')[2]}")
    assert (hidden.status_code, hidden.json()["errors"][0]["pointer"]) == (422, "/with")
    states = {
        one: [item["state"] for item in one.ask("GET", DRAFTS).json()["items"]] for one in (publisher, nobody)
    }
    assert states[publisher] == [*states[nobody], "draft"]
    assert "draft" not in nobody.ask("GET", "/v1/rulebooks").text
    assert stranger.ask("PATCH", url, tag, json={"title": "Mine"}).json()["code"] == "scope_missing"
    assert stranger.ask("POST", f"{url}/validate").json()["code"] == "scope_missing"
    assert nobody.ask("DELETE", url, tag).json()["code"] == "unauthenticated"
    assert publisher.ask("PATCH", url, tag, json={"title": "Mine"}).json()["code"] == "scope_missing"
    discarded(writer, url, tag)


def test_a_draft_is_changed_by_whoever_saw_it_last(writer: Hand) -> None:
    made = writer.begin({"from": "irc-2021@1"})
    url, tag = made.json()["url"], made.headers["etag"]
    blind = writer.ask("PATCH", url, json={"changes": [span("138")]})
    assert (blind.status_code, blind.json()["code"]) == (428, "precondition_required")
    changed = writer.ask("PATCH", url, tag, json={"changes": [span("138")], "title": "Corrected"})
    assert (changed.status_code, changed.json()["title"]) == (200, "Corrected")
    late = writer.ask("PATCH", url, tag, json={"changes": [span("137")]})
    assert (late.status_code, late.json()["code"]) == (412, "precondition_failed")
    assert writer.ask("DELETE", url, tag).status_code == 412
    assert writer.ask("DELETE", url, '"nonsense"').status_code == 412
    assert writer.ask("PATCH", url, "*", json={"changes": [span("137")]}).status_code == 200
    published = writer.ask("PATCH", f"{DRAFTS}/1", "*", json={"title": "Mine"})
    assert (published.status_code, published.json()["code"]) == (409, "publishing_conflict")
    assert writer.ask("PATCH", f"{DRAFTS}/77", "*", json={"title": "Mine"}).status_code == 404
    discarded(writer, url, writer.ask("GET", url).headers["etag"])


def test_every_fault_of_a_change_is_told_at_once(writer: Hand) -> None:
    body = {
        "from": "irc-2021@1",
        "changes": [span("9-6"), span("1", nominal_size="2x9"), {**span("1"), "table": "spans"}],
        "tables": [{"name": "deck_spans", "text": "x\n"}],
        "removed_tables": ["beams"],
    }
    refused = writer.ask("POST", DRAFTS, json=body)
    assert (refused.status_code, refused.json()["code"]) == (422, "invalid_upload")
    assert {(one["pointer"], one["code"]) for one in refused.json()["errors"]} == {
        ("/changes/0/cells/0", "bad_pattern"),
        ("/changes/1/key", "unknown_row"),
        ("/changes/2/table", "not_in_list"),
        ("/tables/0/name", "not_in_list"),
        ("/removed_tables/0", "not_in_list"),
    }
    assert len(writer.ask("GET", DRAFTS).json()["items"]) == len(
        [one for one in writer.ask("GET", DRAFTS).json()["items"] if one["state"] != "draft"]
    )
    unknown = writer.ask("POST", DRAFTS, json={"from": "irc-1999@1"})
    assert unknown.json()["errors"][0]["code"] == "unknown_rulebook"
    strange = writer.ask("POST", DRAFTS, json={"from": "irc-2021@1", "colour": "red"})
    assert strange.json()["errors"][0]["code"] == "unknown_field"
    nothing = writer.ask("POST", "/v1/rulebooks/brook-code/versions", json={})
    assert [one["pointer"] for one in nothing.json()["errors"]] == [
        "/edition",
        "/title",
        "/kind",
        "/document",
    ]


def test_validation_tells_every_fault_by_table_line_and_column(
    writer: Hand, publisher: Hand, nobody: Hand
) -> None:
    text = nobody.ask("GET", f"{DRAFTS}/1/tables/joist_spans", headers={"Accept": "text/csv"}).text
    broken = text.replace("40,live,southern_pine,2x6,12,119", "40,live,southern_pine,2x6,12,long")
    made = writer.begin(
        {
            "from": "irc-2021@1",
            "tables": [{"name": "joist_spans", "text": broken}],
            "removed_tables": ["post_heights"],
            "changes": [
                {
                    "table": "ledger_fasteners",
                    "change": "changed",
                    "key": cells(load_psf="40", fastener="bolt_1/2", max_sheathing_in="0.5", joist_span_ft="6"),
                    "cells": cells(source_id="s999"),
                }
            ],
        }
    )  # fmt: skip
    url, tag = made.json()["url"], made.headers["etag"]
    assert made.json()["draft"]["valid"] is False
    for one in (writer, publisher):
        found = one.ask("POST", f"{url}/validate").json()
        assert found["valid"] is False
        assert {(fault["table"], fault["column"]) for fault in found["faults"]} >= {
            ("joist_spans", "max_span_in"),
            ("ledger_fasteners", "source_id"),
            (None, "post_heights"),
        }
        assert next(fault["line"] for fault in found["faults"] if fault["table"] == "joist_spans") == 10
    refused = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(30)})
    assert (refused.status_code, refused.json()["code"]) == (422, "invalid_upload")
    assert {one["code"] for one in refused.json()["errors"]} == {"rule_text"}
    assert "joist_spans.csv:10: max_span_in: 'long' is not a number" in refused.text
    mended = writer.ask("PATCH", url, tag, json={"tables": [{"name": "joist_spans", "text": text}]})
    left = writer.ask("POST", f"{url}/validate").json()["faults"]
    assert {fault["table"] for fault in left} == {"ledger_fasteners", None}
    discarded(writer, url, mended.headers["etag"])


def test_a_table_that_cannot_be_read_is_had_as_text_alone(writer: Hand) -> None:
    made = writer.begin({"from": "irc-2021@1", "tables": [{"name": "joist_spans", "text": "span\n1,2\n"}]})
    url, tag = made.json()["url"], made.headers["etag"]
    text = writer.ask("GET", f"{url}/tables/joist_spans", headers={"Accept": "text/csv"})
    assert text.text == "span\n1,2\n"
    assert writer.ask("GET", f"{url}/tables/joist_spans").json()["code"] == "not_acceptable"
    spans = next(one for one in writer.ask("GET", url).json()["tables"] if one["name"] == "joist_spans")
    assert (spans["rows"], spans["section"]) == (0, "")
    compared = writer.ask("GET", f"{url}/compare?with=irc-2021@1").json()["tables"]
    assert next(one for one in compared if one["name"] == "joist_spans")["why_not"]
    discarded(writer, url, tag)


def test_a_comparison_tells_old_and_new_cells(writer: Hand, nobody: Hand) -> None:
    made = writer.begin({"from": "irc-2021@1", "changes": [span("138")]})
    number = made.json()["version"]
    found = writer.ask("GET", f"{DRAFTS}/1/compare?with=irc-2021@{number}").json()
    changed = [table for table in found["tables"] if table["change"]]
    assert [(table["name"], table["rows_changed"], table["rows_same"]) for table in changed] == [
        ("joist_spans", 1, 143)
    ]
    assert changed[0]["rows"][0]["cells"] == [{"column": "max_span_in", "old": "142", "new": "138"}]
    back = writer.ask("GET", f"{DRAFTS}/{number}/compare?with=irc-2021@1").json()
    assert (back["from"]["version"], back["to"]["version"]) == (number, 1)
    editions = nobody.ask("GET", f"{DRAFTS}/1/compare?with=irc-2024@1")
    counts = {one["name"]: one["rows_added"] for one in editions.json()["tables"]}
    assert (editions.status_code, counts["beam_spans"]) == (200, 3456)
    for query in ("with=irc-2024", "with=irc-2024@0", "", "with=irc-2024@1&with=irc-2018@1"):
        refused = nobody.ask("GET", f"{DRAFTS}/1/compare?{query}")
        assert (refused.status_code, refused.json()["code"]) == (422, "invalid_query"), query
    discarded(writer, made.json()["url"], made.headers["etag"])


def test_publication_needs_another_key_a_day_to_come_and_the_state_that_was_seen(
    writer: Hand, both: Hand, publisher: Hand
) -> None:
    made = both.begin({"from": "irc-2018@1"}, "/v1/rulebooks/irc-2018/versions")
    url, tag, first = made.json()["url"], made.headers["etag"], {"in_force_from": day(30)}
    own = both.ask("POST", f"{url}/publish", tag, json=first)
    assert (own.status_code, own.json()["code"]) == (403, "scope_missing")
    assert "another one publishes it" in own.json()["detail"]
    assert writer.ask("POST", f"{url}/publish", tag, json=first).json()["code"] == "scope_missing"
    assert publisher.ask("POST", f"{url}/publish", json=first).status_code == 428
    assert publisher.ask("POST", f"{url}/publish", f'"{"0" * 64}"', json=first).status_code == 412
    gone = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(-1)})
    assert (gone.status_code, gone.json()["code"]) == (409, "publishing_conflict")
    far = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": "2100-01-01"})
    assert far.json()["errors"][0]["code"] == "date_out_of_range"
    assert publisher.ask("POST", f"{url}/publish", tag, json={}).json()["errors"][0]["code"] == "missing"
    discarded(writer, url, tag)


def test_from_draft_to_announced_to_withdrawn(
    writer: Hand, publisher: Hand, nobody: Hand, elsewhere: str
) -> None:
    made = writer.begin({"from": "irc-2021@1", "changes": [span("138")]})
    url, tag = made.json()["url"], made.headers["etag"]
    before = nobody.ask("GET", f"{DRAFTS}/1").headers["etag"]
    published = publisher.ask("POST", f"{url}/publish", tag, json={"in_force_from": day(30)})
    assert published.status_code == 200, published.text
    told = published.json()
    assert (told["state"], told["in_force_from"], told["in_force_to"], told["draft"]) == (
        "announced", day(30), None, None,
    )  # fmt: skip
    assert told["digest"] == made.json()["digest"]
    seen = nobody.ask("GET", url)
    assert (seen.status_code, seen.json()["state"]) == (200, "announced")
    other = Hand(elsewhere, None)
    until(lambda: other.ask("GET", url).status_code == 200)
    old = nobody.ask("GET", f"{DRAFTS}/1")
    assert (old.json()["in_force_to"], old.json()["state"]) == (day(29), "in_force")
    assert nobody.ask("GET", f"{DRAFTS}/1", headers={"If-None-Match": before}).status_code == 200
    assert nobody.ask("GET", url, headers={"If-None-Match": seen.headers["etag"]}).status_code == 304
    design = nobody.ask("POST", "/v1/designs", json=DECK).json()
    assert design["rulebook"]["version"] == 1
    assert publisher.ask("PATCH", url, "*", json={}).status_code == 403
    assert writer.ask("PATCH", url, "*", json={"title": "Mine"}).status_code == 409
    assert writer.ask("DELETE", url, "*").status_code == 409
    assert writer.ask("POST", f"{url}/withdraw").status_code == 403
    assert writer.ask("POST", f"{url}/validate").status_code == 409
    withdrawn = publisher.ask("POST", f"{url}/withdraw")
    assert (withdrawn.status_code, withdrawn.json()["state"]) == (200, "withdrawn")
    assert publisher.ask("POST", f"{url}/withdraw").status_code == 409
    assert publisher.ask("POST", f"{DRAFTS}/1/withdraw").status_code == 409
    assert publisher.ask("POST", f"{DRAFTS}/77/withdraw").status_code == 404
    assert nobody.ask("GET", f"{DRAFTS}/1").json()["in_force_to"] is None
    text = nobody.ask("GET", f"{url}/tables/joist_spans", headers={"Accept": "text/csv"}).text
    assert "40,live,southern_pine,2x8,16,138," in text


def test_what_is_published_today_is_what_designs_are_made_by(
    writer: Hand, publisher: Hand, nobody: Hand
) -> None:
    key = {"load_psf": "40", "species_group": "southern_pine", "nominal_size": "2x8"}
    changes = [
        span(value, **key, spacing_in=spacing)
        for spacing, value in (("12", "156"), ("16", "141"), ("24", "115"))
    ]
    made = writer.begin({"from": "irc-2021@1", "changes": changes})
    url = made.json()["url"]
    published = publisher.ask("POST", f"{url}/publish", made.headers["etag"], json={"in_force_from": day(0)})
    assert (published.status_code, published.json()["state"]) == (200, "in_force"), published.text
    # the place's own day may still be the one before
    design = nobody.ask("POST", "/v1/designs", json={**DECK, "as_of": day(0)}).json()
    assert design["rulebook"] == {
        "id": "irc-2021", "edition": "2021", "version": made.json()["version"], "digest": made.json()["digest"],
    }  # fmt: skip
    states = {one["version"]: one["state"] for one in nobody.ask("GET", DRAFTS).json()["items"]}
    assert (states[1], states[made.json()["version"]]) == ("superseded", "in_force")


def test_a_rulebook_from_nothing_and_one_from_another_edition(writer: Hand, publisher: Hand) -> None:
    path = "/v1/rulebooks/brook-code/versions"
    body = {"from": "irc-2021@1", "title": "Brook County code", "edition": "2027"}
    made = writer.begin(body, path)
    assert (made.json()["version"], made.json()["id"]) == (1, "brook-code")
    assert writer.ask("POST", f"{path}/1/validate").json()["faults"] == []
    text = writer.ask("GET", f"{path}/1/tables/sources", headers={"Accept": "text/csv"}).text
    assert text.startswith("#table: sources\n#rulebook: brook-code\n")
    tag = made.headers["etag"]
    assert publisher.ask("POST", f"{path}/1/publish", tag, json={"in_force_from": day(0)}).status_code == 200
    said = {"edition": "1", "title": "Empty", "kind": "code", "document": "Nothing (invented)"}
    empty = writer.begin(said, "/v1/rulebooks/empty-code/versions")
    found = writer.ask("POST", f"{empty.json()['url']}/validate").json()
    assert {fault["column"] for fault in found["faults"]} == set(CODE_TABLES)
    discarded(writer, empty.json()["url"], empty.headers["etag"])


def test_a_draft_that_loses_the_row_of_an_amendment_says_so(writer: Hand) -> None:
    path = "/v1/rulebooks/irc-2018/versions"
    guard = {
        "table": "connection_rules", "change": "removed", "key": cells(key="stainless_within_salt_water"),
    }  # fmt: skip
    lost = {"jurisdiction": "sallowmere-bay", "amendment": "stainless-3000"}
    for changes, told in (([], False), ([guard], True)):
        made = writer.begin({"from": "irc-2018@1", "changes": changes}, path)
        found = writer.ask("POST", f"{made.json()['url']}/validate").json()
        assert (found["valid"], lost in found["unapplied"]) == (True, told)
        discarded(writer, made.json()["url"], made.headers["etag"])


def test_a_key_that_is_bound_sees_and_writes_its_own_alone(
    writer: Hand, loaded: EmbeddedServer, address: str
) -> None:
    made = writer.begin({"from": "irc-2021@1"})
    url, tag = made.json()["url"], made.headers["etag"]
    key = create_key(
        loaded.owner_url, "brook-county", ["rules:write", "rules:publish"], bounds=Bounds(rules=["irc-2018"])
    )
    bound = Hand(address, key)
    until(lambda: bound.ask("GET", DRAFTS).status_code == 200)
    assert bound.ask("GET", url).json()["code"] == "unknown_version"
    assert "draft" not in {one["state"] for one in bound.ask("GET", DRAFTS).json()["items"]}
    for method, path, body in (
        ("PATCH", url, {"title": "Mine"}), ("DELETE", url, None), ("POST", f"{url}/validate", None),
        ("POST", f"{url}/publish", {"in_force_from": day(3)}), ("POST", DRAFTS, {"from": "irc-2021@1"}),
    ):  # fmt: skip
        refused = bound.ask(method, path, tag, json=body)
        assert (refused.status_code, refused.json()["code"]) == (403, "scope_missing"), (method, path)
    own = bound.begin({"from": "irc-2018@1"}, "/v1/rulebooks/irc-2018/versions")
    assert bound.ask("DELETE", own.json()["url"], own.headers["etag"]).status_code == 204
    discarded(writer, url, tag)


@pytest.mark.parametrize("coding", ["br", "gzip"])
def test_a_draft_read_compressed_is_changed_and_discarded_by_the_tag_it_came_with(
    writer: Hand, coding: str
) -> None:
    made = writer.begin({"from": "irc-2021@1", "changes": [span("138")]})
    url, packed = made.json()["url"], {"Accept-Encoding": coding}
    read = writer.ask("GET", url, headers=packed)
    tag = read.headers["etag"]
    assert (read.headers["content-encoding"], tag.endswith(f'-{coding}"')) == (coding, True)
    assert writer.ask("GET", url, headers={**packed, "If-None-Match": tag}).status_code == 304
    changed = writer.ask("PATCH", url, tag, json={"changes": [span("137")]}, headers=packed)
    assert changed.status_code == 200, changed.text
    # the state it named is gone, in every coding
    for old in (tag, tag.replace(f"-{coding}", "")):
        assert writer.ask("PATCH", url, old, json={"changes": [span("136")]}).status_code == 412
    newer = changed.headers["etag"]
    # If-Match compares strongly, and a coding nobody has is no tag of ours
    for wrong in (f"W/{newer}", newer.replace(coding, "zstd")):
        assert writer.ask("DELETE", url, wrong).status_code == 412
    discarded(writer, url, newer)
