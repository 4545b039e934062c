"""What an announced version changes, over real HTTP and from a real database, line by line."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from click.testing import CliRunner

from service.app import make_app, make_desk
from service.cli import main
from service.cli.trial import served
from service.settings import Settings
from service.store.embedded import EmbeddedServer
from service.store.migrate import migrate
from service.store.reader import load_snapshot
from service.store.rule_writer import create_draft
from service.store.writer import load, load_bundled
from tests.later_rules import FIRST, PLACE, SECOND, later_bundle
from tests.ndjson import (
    REQUEST_ID,
    answered,
    body,
    children,
    post,
    resumed,
    spec,
    spool_folder,
)

__all__ = ["spool_folder"]
EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
IMPACTS = f"/v1/rule-impacts?from={FIRST}&to={SECOND}"
DRAFT = "irc-2021@3"
# by a rulebook that is not asked about: answered at once, so that many of them can be
UNTOUCHED = {"rulebook": "irc-2018"}


@pytest.fixture(scope="module")
def url(spare_server: EmbeddedServer) -> str:
    """A database with a second version of a rulebook, announced, and a third that is a draft."""
    migrate(spare_server.owner_url, spare_server.service_url)
    load_bundled(spare_server.owner_url)
    assert SECOND in load(spare_server.owner_url, later_bundle())
    draft = create_draft(
        spare_server.service_url,
        "rulebook",
        "irc-2021",
        lambda content, _: content,
        actor="operator test",
        based_on=("irc-2021", 2),
    )
    assert draft.reference == DRAFT
    return spare_server.service_url


@pytest.fixture(scope="module")
def address(url: str) -> Iterator[str]:
    with served(make_app(make_desk(load_snapshot(url)), Settings(batch_workers=1))) as found:
        yield found


def ledger(**changes: Any) -> dict[str, Any]:
    """A deck whose joists are at 0.988 of their span by the first version."""
    return json.loads((EXAMPLES / "ledger-composite.json").read_text("utf-8")) | {
        "price_book": "brindlemoor-yard@4",
        "as_of": "2026-11-28",
        **changes,
    }


def alone(address: str, value: Any) -> dict[str, Any]:
    headers = {"X-Request-Id": REQUEST_ID}
    answer = httpx.post(f"{address}/v1/designs", json=value, headers=headers, trust_env=False, timeout=60)
    found: dict[str, Any] = answer.json()
    return found


def one(address: str, value: Any, path: str = IMPACTS) -> dict[str, Any]:
    line, end = answered(post(address, path, body(value)))
    assert end == {"kind": "end", "lines": 1, "results": 1, "problems": 0}
    return line


def test_impact_of_a_shorter_span_is_another_size(address: str) -> None:
    """By hand: the joists span 140.25 in; the table gave a 2x8 142 in and gives it 138; a 2x10 has 168 in."""
    found = one(address, ledger())
    assert (found["kind"], found["line"], found["reference"]) == ("result", 1, "EXAMPLE-LEDGER")
    assert (found["designed_by"], found["applies"], found["changed"]) == (FIRST, True, True)
    impact = found["impact"]
    changes = {(each["member"], each["field"]): each for each in impact["members"]["changed"]}
    assert changes["main.joists-1", "size"] == {
        "member": "main.joists-1",
        "field": "size",
        "from": "2x8",
        "to": "2x10",
    }
    assert impact["verdict"] == {"from": "prescriptive", "to": "prescriptive"}
    assert impact["reasons"]["added"] == impact["checks"]["newly_failing"] == []
    assert [impact["rulebooks"][name]["version"] for name in ("from", "to")] == [1, 2]
    first = alone(address, ledger())
    assert impact["design_ids"]["from"] == first["design_id"]
    assert impact["order"]["from"] == first["takeoff"]["total"]
    cents = [round(100 * float(impact["order"][name]["amount"])) for name in ("from", "to", "change")]
    assert cents[1] - cents[0] == cents[2] > 0


def test_impact_is_that_of_the_new_version_alone_but_for_its_day(address: str) -> None:
    """Pinned before its day, the announced version gives the same deck, and says that it is not in force."""
    impact = one(address, ledger())["impact"]
    second = alone(address, ledger(rulebook=SECOND))
    assert impact["order"]["to"] == second["takeoff"]["total"]
    assert impact["footings"]["to"] == len(second["footings"])
    assert [each["code"] for each in second["verdict"]["reasons"]] == ["rulebook_not_in_force"]
    assert second["levels"][0]["joists"][0]["size"] == "2x10"


def test_impact_of_a_limit_is_another_verdict(address: str) -> None:
    stair = {"level": "main", "edge": 2, "offset_ft": 6, "width_in": 42}
    impact = one(address, ledger(stairs=[stair]))["impact"]
    assert impact["verdict"] == {"from": "prescriptive", "to": "not_permitted"}
    (reason,) = impact["reasons"]["added"]
    assert (reason["code"], reason["member"]) == ("check_failed", "deck.stair-1")
    (check,) = impact["checks"]["newly_failing"]
    assert (check["check"], check["from"]["capacity"], check["to"]["capacity"]) == ("stair_width", 36, 44)


def test_impact_of_an_amendment_that_does_not_fit_is_another_verdict(address: str) -> None:
    impact = one(address, ledger(jurisdiction=PLACE))["impact"]
    assert impact["verdict"] == {"from": "prescriptive", "to": "engineer_required"}
    (reason,) = impact["reasons"]["added"]
    assert reason["code"] == "rulebook_not_in_force"
    assert "stainless-3000" in reason["text"]


def test_impact_on_a_deck_that_stays_the_same(address: str) -> None:
    found = one(address, spec(1))
    assert (found["applies"], found["changed"]) == (True, False)
    impact = found["impact"]
    assert impact["members"] == {
        "added": [],
        "removed": [],
        "changed": [],
        "added_left_out": 0,
        "removed_left_out": 0,
        "changed_left_out": 0,
    }
    assert impact["verdict"]["from"] == impact["verdict"]["to"]
    assert impact["design_ids"]["from"] != impact["design_ids"]["to"]


@pytest.mark.parametrize(
    ("changes", "designed_by"),
    [
        (UNTOUCHED, "irc-2018@1"),
        ({"as_of": "2020-01-01"}, "irc-2018@1"),
        ({"jurisdiction": "sallowmere-bay"}, "irc-2018@1"),
    ],
    ids=["named", "in force then", "in force there"],
)
def test_impact_on_specs_of_another_rulebook(address: str, changes: dict[str, str], designed_by: str) -> None:
    found = one(address, spec(1, **changes))
    assert found == {
        "kind": "result",
        "line": 1,
        "reference": "LEAD-1",
        "designed_by": designed_by,
        "applies": False,
        "changed": False,
        "impact": None,
    }


@pytest.mark.parametrize("rulebook", ["irc-2021", FIRST, SECOND])
def test_impact_on_specs_that_name_the_rulebook(address: str, rulebook: str) -> None:
    found = one(address, spec(1, rulebook=rulebook))
    assert found["designed_by"] == (SECOND if rulebook == SECOND else FIRST)
    assert (found["applies"], found["changed"]) == (True, False)
    assert [found["impact"]["rulebooks"][name]["version"] for name in ("from", "to")] == [1, 2]


def test_impact_of_another_edition_counts_as_in_force(address: str) -> None:
    impact = one(address, ledger(), f"/v1/rule-impacts?from={FIRST}&to=irc-2024@1")["impact"]
    assert impact["rulebooks"]["to"]["edition"] == "2024"
    assert impact["verdict"] == {"from": "prescriptive", "to": "prescriptive"}


MIXED = body(
    spec(1, **UNTOUCHED),
    "",
    "not JSON",
    spec(4, price_book="nowhere"),
    b'{"reference": "' + b"x" * 262_144 + b'"}',
    spec(6),
    spec(7, **UNTOUCHED),
)


def test_impacts_come_in_order_with_problems_between(address: str) -> None:
    found = answered(post(address, IMPACTS, MIXED))
    told = [(line["kind"], line.get("line"), line.get("problem", {}).get("code")) for line in found]
    assert told == [
        ("result", 1, None),
        ("problem", 3, "not_json"),
        ("problem", 4, "invalid_spec"),
        ("problem", 5, "too_large"),
        ("result", 6, None),
        ("result", 7, None),
        ("end", None, None),
    ]
    assert found[-1] == {"kind": "end", "lines": 7, "results": 3, "problems": 3}
    assert [line["reference"] for line in found[:3]] == ["LEAD-1", None, "LEAD-4"]
    wanted = {**alone(address, spec(4, price_book="nowhere")), "instance": "/v1/rule-impacts"}
    assert found[2]["problem"] == wanted


def test_impacts_resume_with_first_line(address: str) -> None:
    whole = answered(post(address, IMPACTS, MIXED))
    for first in (2, 5, 7, 8):
        found = answered(post(address, f"{IMPACTS}&first_line={first}", MIXED))
        assert found[:-1] == [line for line in whole[:-1] if line["line"] >= first]
        assert found[-1]["lines"] == 7


def test_impacts_cut_off_are_resumed(address: str, spool_folder: Path) -> None:
    """Cut off again and again, what came of whole lines is the whole answer: nothing lost, nothing twice."""
    content = body(*(spec(number, **UNTOUCHED) for number in range(1, 300)), "nope", spec(301))
    whole = post(address, IMPACTS, content).content.splitlines()
    got = resumed(address, IMPACTS, content)
    assert got[:-1] == whole[:-1]
    assert json.loads(got[-1])["lines"] == 301


def test_impacts_of_many_specs_take_no_more_memory_than_of_few(address: str) -> None:
    """A thousand specs, then fifteen times as many: what the process holds does not grow with them."""
    few, many = (body(*(spec(number, **UNTOUCHED) for number in range(count))) for count in (1000, 15_000))
    assert answered(post(address, IMPACTS, few))[-1]["results"] == 1000
    (process,) = children()
    before = rss_bytes(process)
    assert answered(post(address, IMPACTS, many))[-1]["results"] == 15_000
    assert children() == [process]
    assert rss_bytes(process) - before < len(many)


def rss_bytes(process: int) -> int:
    return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.parametrize(
    ("query", "faults"),
    [
        ("", [("/from", "missing"), ("/to", "missing")]),
        (f"from={FIRST}", [("/to", "missing")]),
        (f"from=irc-2021&to={SECOND}", [("/from", "bad_pattern")]),
        (f"from={FIRST}&to=IRC@2", [("/to", "bad_pattern")]),
        (f"from={FIRST}&to=a@1", [("/to", "unknown_rulebook")]),
        (f"from={FIRST}&to={'a' * 46}@1", [("/to", "too_long")]),
        (f"from={FIRST}&to={'a' * 45}@1", [("/to", "unknown_rulebook")]),
        (f"from=irc-2021@9&to={DRAFT}", [("/from", "unknown_rulebook"), ("/to", "unknown_rulebook")]),
        (f"from={FIRST}&to=dca-6@1", [("/to", "unknown_rulebook")]),
        (f"from={FIRST}&to={SECOND}&view=full", [("/view", "unknown_field")]),
        (f"from={FIRST}&from={FIRST}&to={SECOND}", [("/from", "too_many")]),
        (f"from={FIRST}&to={SECOND}&first_line=0", [("/first_line", "bad_pattern")]),
    ],
)
def test_impacts_refuse_a_query(address: str, query: str, faults: list[tuple[str, str]]) -> None:
    answer = post(address, f"/v1/rule-impacts?{query}", body(spec(1)))
    assert (answer.status_code, answer.json()["code"]) == (422, "invalid_query")
    assert [(fault["pointer"], fault["code"]) for fault in answer.json()["errors"]] == faults


def test_impacts_refuse_what_ndjson_calls_refuse(address: str) -> None:
    json_type = {"Content-Type": "application/json"}
    assert post(address, IMPACTS, b"", **json_type).json()["code"] == "unsupported_media_type"
    assert post(address, IMPACTS, b"", Accept="application/json").json()["code"] == "not_acceptable"
    assert httpx.get(address + IMPACTS, trust_env=False).status_code == 405


def test_impacts_by_the_command_are_those_of_the_call(
    address: str, url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DATABASE_URL", url)
    file = tmp_path / "decks.ndjson"
    file.write_bytes(body(ledger(), "", spec(3, **UNTOUCHED)))
    done = CliRunner().invoke(main, ["impact", str(file), "--from", FIRST, "--to", SECOND])
    assert done.exit_code == 0, done.output
    assert done.stdout.encode() == post(address, IMPACTS, file.read_bytes()).content
    assert "1 of 2 specs change, 0 do not; 1 are of another rulebook, 0 could not be used" in done.stderr


@pytest.mark.parametrize(("given", "code"), [("irc-2021", "bad_pattern"), (DRAFT, "unknown_rulebook")])
def test_the_command_refuses_what_the_call_refuses(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, given: str, code: str
) -> None:
    monkeypatch.setenv("DATABASE_URL", url)
    file = tmp_path / "decks.ndjson"
    file.write_bytes(body(spec(1)))
    done = CliRunner().invoke(main, ["impact", str(file), "--from", FIRST, "--to", given])
    assert done.exit_code == 1
    assert code in done.output
