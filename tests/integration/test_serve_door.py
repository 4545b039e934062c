"""`deck-framing serve`: whom it says it lets in, what it refuses to start with, and that every worker keeps to it."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import click
import httpx
import pytest

from service.cli.serve import server_options, who_may_ask
from service.settings import Settings
from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key
from tests.integration.price_service import bearer, until

ROOT = Path(__file__).parents[2]
ANYWHERE = "0.0.0.0"  # noqa: S104 - the one test that listens there sees it refused
LISTENING = Settings()


def test_at_the_start_it_is_said_who_may_ask() -> None:
    for host in ("127.0.0.1", "::1", "localhost"):
        assert who_may_ask(replace(LISTENING, host=host), has_key=False).startswith(
            "no key is needed on this machine"
        )
    named = replace(LISTENING, hosts=("decks.example",))
    assert (
        who_may_ask(named, has_key=True)
        == "every call needs a key, except those for rulebooks and jurisdictions"
    )
    assert "no key is in force: make one with `deck-framing keys create" in who_may_ask(named, has_key=False)


@pytest.mark.parametrize("hosts", [(), ("decks.example",)])
def test_other_machines_are_not_listened_to_without_a_key(hosts: tuple[str, ...]) -> None:
    settings = replace(LISTENING, host=ANYWHERE, hosts=hosts)
    with pytest.raises(
        click.ClickException, match="reached from other machines, and no key is in force: make one"
    ):
        who_may_ask(settings, has_key=False)
    assert who_may_ask(settings, has_key=True).startswith("every call needs a key")


def test_nobody_is_believed_about_addresses_unless_named() -> None:
    assert server_options(LISTENING)["proxy_headers"] is False
    named = server_options(replace(LISTENING, proxies=("192.0.2.7", "2001:db8::/32")))
    assert (named["proxy_headers"], named["forwarded_allow_ips"]) == (True, "192.0.2.7,2001:db8::/32")


def test_serve_refuses_and_then_takes_another_address(empty_database: EmbeddedServer) -> None:
    """The same command, before a key is made and after it."""
    line = command("--host", ANYWHERE, "--port", str(free_port()))
    refused = subprocess.run(
        line, env=environment(empty_database), capture_output=True, text=True, timeout=120
    )
    assert refused.returncode == 1
    assert "no key is in force: make one with `deck-framing keys create" in refused.stderr
    key = create_key(empty_database.owner_url, "oakline", ["designs"])
    with serving(empty_database, "--host", ANYWHERE) as (address, said):
        assert "every call needs a key" in said()
        assert get(address, "/v1/rulebooks", "any.example").status_code == 200
        assert get(address, "/v1/options", "127.0.0.1").status_code == 401
        assert get(address, "/v1/options", "any.example", **bearer(key)).status_code == 200


def test_every_worker_keeps_to_the_door(database: EmbeddedServer) -> None:
    with serving(database, "--host", "localhost", WORKERS="2") as (address, said):
        assert "no key is needed on this machine" in said()
        # so many connections that each worker has some
        for host, status in (("evil.example", 421), ("localhost:1", 200), ("127.0.0.1", 200)):
            assert {get(address, "/v1/options", host).status_code for _ in range(12)} == {status}
    with serving(database, WORKERS="2", DECK_FRAMING_HOSTS="decks.example") as (address, said):
        assert "every call needs a key" in said()
        for host, status in (("127.0.0.1", 421), ("decks.example", 401)):
            assert {get(address, "/v1/options", host).status_code for _ in range(12)} == {status}


def get(address: str, path: str, host: str, **headers: str) -> httpx.Response:
    return httpx.get(address + path, headers={"Host": host, **headers}, trust_env=False, timeout=20)


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "service", "serve", *words]


def environment(database: EmbeddedServer, **more: str) -> dict[str, str]:
    path = os.getenv("PATH", "")  # noqa: TID251 - for a child process
    urls = {"DATABASE_URL": database.service_url, "DATABASE_URL_OWNER": database.owner_url}
    return {"PATH": path, "PYTHONPATH": str(ROOT), **urls, **more}


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


@contextmanager
def serving(database: EmbeddedServer, *words: str, **more: str) -> Iterator[tuple[str, Callable[[], str]]]:
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryFile("w+") as told:
        line = command(*words, "--port", str(port))

        def said() -> str:
            told.seek(0)
            return told.read()

        def is_up() -> bool:
            assert server.poll() is None, said()
            try:
                return get(
                    address, "/health/live", "decks.example" if "DECK_FRAMING_HOSTS" in more else "localhost"
                ).is_success
            except httpx.TransportError:
                return False

        with subprocess.Popen(line, env=environment(database, **more), stderr=told) as server:
            try:
                until(is_up, patience_s=90)
                yield address, said
            finally:
                server.terminate()
                server.wait(60)
