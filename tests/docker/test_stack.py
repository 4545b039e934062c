"""The compose file as it runs: who knows which password, what the proxy lets through, what is left when a part goes."""

from __future__ import annotations

import json
import re
import signal
import socket
import ssl
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
import yaml

from tests.docker.recipe import DOCKER, ROOT
from tests.docker.stack import ANOTHER, HOST, PATIENCE_S, Stack, client, until

DECK = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}
DESIGNS = "/v1/designs"
PAGE = {"Origin": "https://yard.example"}
CUT_OFF_WITHIN_S = 60  # the proxy waits 5 s for headers


def test_a_replica_without_a_key_in_force_says_so_and_ends(keyless: str) -> None:
    assert "no key is in force: make one with `deck-framing keys create" in keyless
    assert "Traceback" not in keyless


def test_a_replica_knows_no_password_of_the_owner(stack: Stack, secrets: Path) -> None:
    owner = (secrets / "owner_password").read_text("utf-8")
    assert "owner_url" not in stack.given["replica-1"]["secrets"]
    asked = "cat /run/secrets/* /proc/self/environ; ls /run/secrets"
    seen = stack.box("replica-1").run(["/bin/sh", "-c", asked], stack.environment("replica-1"))
    assert owner not in seen
    assert seen.endswith("service_url\n")


def test_the_serving_role_cannot_change_a_rule(stack: Stack) -> None:
    tried = (
        "import psycopg, pathlib, sys\n"
        "url = pathlib.Path('/run/secrets/service_url').read_text()\n"
        "for statement in sys.argv[1:]:\n"
        "    try:\n"
        "        psycopg.connect(url, autocommit=True).execute(statement)\n"
        "        print('done', statement)\n"
        "    except psycopg.errors.InsufficientPrivilege:\n"
        "        pass\n"
    )
    statements = ("update rule_row set line = ''", "delete from rule_row", "create table x (y int)",
                  "drop table rule_row", "create role z", "insert into api_key default values")  # fmt: skip
    box, given = stack.box("replica-1"), stack.environment("replica-1")
    assert box.run(["python", "-c", tried, *statements], given) == ""


def test_a_design_goes_through_the_proxy_with_its_ids(stack: Stack, key: str) -> None:
    given = {"X-Request-Id": "0123456789abcdef" * 2, "traceparent": f"00-{'1' * 32}-{'2' * 16}-01"}
    with client(stack, key=key) as asking:
        answer = asking.post(DESIGNS, json=DECK, headers=given)
        assert answer.status_code == 200
        assert answer.headers["x-request-id"] == given["X-Request-Id"]
        assert answer.headers["strict-transport-security"].startswith("max-age=")
        replaced = asking.get("/health/live", headers={"X-Request-Id": "../../x"})
        assert len(replaced.headers["x-request-id"]) == 32
        again = asking.post(DESIGNS, json=DECK, headers={"Accept-Encoding": "identity"})
        assert again.json()["design_id"] == answer.json()["design_id"]
    lines = [
        json.loads(line) for line in stack.log("proxy").read_text("utf-8").splitlines() if line[:1] == "{"
    ]
    assert given["X-Request-Id"] in {line["request_id"] for line in lines}
    assert replaced.headers["x-request-id"] in {line["request_id"] for line in lines}


def test_a_call_without_a_key_or_under_another_name_is_not_answered(stack: Stack, key: str) -> None:
    with client(stack) as asking:
        assert asking.post(DESIGNS, json=DECK).status_code == 401
        assert asking.get("/metrics").json()["code"] == "not_found"
    with client(stack, key=key) as asking, pytest.raises(httpx.TransportError):
        asking.post(DESIGNS, json=DECK, headers={"Host": "other.example"})


@pytest.mark.parametrize("replica", ["replica-1", "replica-2"])
def test_metrics_of_each_replica_are_there_for_a_collector_in_its_network(stack: Stack, replica: str) -> None:
    targets = yaml.safe_load((DOCKER / "prometheus.yaml").read_text("utf-8"))["scrape_configs"][0]
    name, _, port = next(one for one in targets["static_configs"][0]["targets"] if replica in one).partition(
        ":"
    )
    found = httpx.get(f"http://{stack.address(name, 'watch')}:{port}/metrics", trust_env=False)
    assert "deck_framing_build_info" in found.text
    assert "deck_framing_damaged_versions 0.0" in found.text
    lines = [json.loads(one) for one in stack.log(replica).read_text("utf-8").splitlines() if one[:1] == "{"]
    assert "started" in {one["event"] for one in lines}


def test_plain_http_leads_on_for_pages_alone(stack: Stack) -> None:
    plain = f"http://{stack.address('proxy', 'edge')}:8080"
    found = {path: httpx.get(plain + path, headers={"Host": HOST}) for path in ("/", "/docs", DESIGNS)}
    assert [one.status_code for one in found.values()] == [301, 301, 404]
    assert found["/docs"].headers["location"] == f"https://{HOST}/docs"


@pytest.mark.parametrize("declared", [True, False])
def test_a_body_that_is_too_large_is_refused_with_a_problem(stack: Stack, key: str, declared: bool) -> None:
    body = b" " * 300_000
    sent = body if declared else iter([body[:150_000], body[150_000:]])
    with client(stack, key=key) as asking:
        answer = asking.post(DESIGNS, content=sent, headers={"Content-Type": "application/json"})
    assert answer.status_code == 413
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["code"] == "too_large"
    assert answer.json()["instance"] == DESIGNS


@contextmanager
def connected(stack: Stack, secrets: Path) -> Iterator[ssl.SSLSocket]:
    trusted = ssl.create_default_context(cafile=str(secrets / "tls_certificate"))
    plain = socket.create_connection((stack.address("proxy", "edge"), 8443), PATIENCE_S)
    with plain, trusted.wrap_socket(plain, server_hostname=HOST) as found:
        yield found


def test_a_client_that_sends_its_headers_drop_by_drop_is_cut_off(stack: Stack, secrets: Path) -> None:
    with connected(stack, secrets) as connection:
        connection.sendall(f"POST {DESIGNS} HTTP/1.1\r\nHost: {HOST}\r\n".encode())
        end = time.monotonic() + CUT_OFF_WITHIN_S
        connection.settimeout(1)
        while time.monotonic() < end:
            try:
                connection.sendall(b"X: y\r\n")
                if connection.recv(65536) == b"":
                    return
            except TimeoutError:
                continue
            except OSError:
                return
    raise AssertionError("it was waited for")


def test_a_client_that_sends_its_body_drop_by_drop_costs_no_replica(
    stack: Stack, secrets: Path, key: str
) -> None:
    with connected(stack, secrets) as connection:
        head = (
            f"POST {DESIGNS} HTTP/1.1\r\nHost: {HOST}\r\nContent-Length: 1000\r\nX-Request-Id: {'d' * 32}\r\n"
        )
        connection.sendall(f"{head}Content-Type: application/json\r\n\r\n".encode() + b'{"')
        with client(stack, key=key) as asking:
            assert asking.post(DESIGNS, json=DECK).status_code == 200
    # it has gone: no replica was asked about it
    until(lambda: "d" * 32 in stack.log("proxy").read_text("utf-8"))
    line = next(one for one in stack.log("proxy").read_text("utf-8").splitlines() if "d" * 32 in one)
    assert json.loads(line)["replica"] == ""


def test_an_address_that_a_client_claims_is_not_believed(stack: Stack, page_key: str) -> None:
    with client(stack, key=page_key) as asking:
        for number in range(100):
            forged = {"X-Forwarded-For": f"198.51.100.{number}", "Forwarded": f"for=198.51.100.{number}"}
            last = asking.get("/v1/options", headers={**PAGE, **forged})
            if last.status_code == 429:
                break
    assert last.json()["code"] == "too_many_requests"
    # another address is another client: the proxy's word is taken
    with client(stack, ANOTHER, page_key) as asking:
        assert asking.get("/v1/options", headers=PAGE).status_code == 200


def test_lines_come_back_while_others_are_worked(stack: Stack, key: str) -> None:
    body = b"".join(json.dumps({**DECK, "reference": f"B-{n}"}).encode() + b"\n" for n in range(12))
    with client(stack, key=key) as asking:
        sent = {"content": body, "headers": {"Content-Type": "application/x-ndjson"}}
        with asking.stream("POST", "/v1/design-batches?view=summary", **sent) as answer:
            assert "content-length" not in answer.headers
            lines = [json.loads(line) for line in answer.iter_lines()]
    assert [line["kind"] for line in lines] == ["result"] * 12 + ["end"]


def test_when_a_replica_is_killed_the_other_answers(stack: Stack, key: str) -> None:
    stack.kill("replica-1")
    with client(stack, key=key) as asking:
        found = [asking.post(DESIGNS, json=DECK).status_code for _ in range(6)]
    assert found == [200] * 6
    stack.start("replica-1")
    until(lambda: stack.healthy("replica-1"))


def test_when_none_is_left_clients_get_a_problem_until_one_is_back(stack: Stack, key: str) -> None:
    for service in ("replica-1", "replica-2"):
        stack.kill(service)
    with client(stack, key=key) as asking:
        away = asking.post(DESIGNS, json=DECK)
        assert (away.status_code, away.json()["code"]) == (503, "overloaded")
        assert away.headers["retry-after"] == "2"
        stack.start("replica-2")
        until(lambda: asking.post(DESIGNS, json=DECK).status_code == 200)


def test_a_replica_told_to_stop_ends_and_says_nothing_bad(stack: Stack) -> None:
    until(lambda: stack.healthy("replica-2"))
    stack.kill("replica-2", signal.SIGTERM)
    said = stack.log("replica-2").read_text("utf-8")
    assert "Traceback" not in said


def test_the_runbooks_lines_take_a_backup_and_read_it_back(prepared: Stack) -> None:
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    dump, restore = re.findall(r"docker compose exec -T database sh -c '(.*?)' [<>] deck\.backup", page)
    file, on = "/var/lib/postgresql/deck.backup", "psql --host=127.0.0.1 --username=postgres -qtA"
    prepared.in_database(f"({dump}) > {file}")
    prepared.in_database(f"{on} -c 'create database restored owner deck_owner'")
    into = restore.replace("--dbname=deck_framing", "--dbname=restored")
    assert into != restore
    prepared.in_database(f"({into}) < {file}")
    asked = "select count(*), has_table_privilege('deck_service', 'rule_row', 'select') from rule_row"
    found = [prepared.in_database(f'{on} -d {name} -c "{asked}"') for name in ("deck_framing", "restored")]
    assert found[0] == found[1]
    assert re.fullmatch(r"[1-9]\d*\|t\n", found[0])


def test_the_job_runs_again_and_adds_nothing(prepared: Stack) -> None:
    assert prepared.run("prepare", *prepared.given["prepare"]["command"]) == ""
