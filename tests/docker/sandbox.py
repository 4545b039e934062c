"""A container's view of files and network, without an engine: a read-only tree by bubblewrap, namespaces by `ip`."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

MARK = "dftest"


@dataclass(frozen=True)
class Box:
    """What a process is to see: nothing but this, the system's programs, and the Python the tests run with.

    Attributes:
        read: places in the box, and what is seen there
        write: the same, to be written to
        namespace: of the network; None for this machine's own
        user: number of the user and of its group
        temporary: where files may be made that are gone with the box
    """

    read: dict[str, Path] = field(default_factory=dict)
    write: dict[str, Path] = field(default_factory=dict)
    namespace: str | None = None
    user: int = 0
    temporary: tuple[str, ...] = ()

    def argv(self, command: list[str], environment: dict[str, str], folder: str = "/") -> list[str]:
        """The command line that runs a command in the box."""
        there: list[str] = []
        python = {} if sys.base_prefix == "/usr" else {sys.base_prefix: Path(sys.base_prefix)}
        # folders on the way, which all may pass through
        parents = {
            str(one) for place in [*python, *self.read, *self.write] for one in Path(place).parents[:-1]
        }
        for place in sorted(one for one in parents if not one.startswith(("/etc", "/usr"))):
            there += ["--perms", "0755", "--dir", place]
        for place in self.temporary:
            there += ["--perms", "1777", "--tmpfs", place]
        for option, places in (("--ro-bind", {**python, **self.read}), ("--bind", self.write)):
            for place, source in places.items():
                there += [option, str(source), place]
        names = [part for name, value in environment.items() for part in ("--setenv", name, value)]
        within = ["ip", "netns", "exec", self.namespace] if self.namespace else []
        system = [
            "--ro-bind",
            "/usr",
            "/usr",
            "--ro-bind",
            "/etc",
            "/etc",
            "--proc",
            "/proc",
            "--dev",
            "/dev",
        ]
        for link in ("bin", "lib", "lib64", "sbin"):
            system += ["--symlink", f"usr/{link}", f"/{link}"]
        who = ["setpriv", f"--reuid={self.user}", f"--regid={self.user}", "--clear-groups", "--no-new-privs"]
        drop = ["--bounding-set=-all", "--inh-caps=-all"] if self.user else []
        return [
            *within, "bwrap", *system, *there, "--clearenv", *names, "--chdir", folder, "--die-with-parent", "--",
            *who, *drop, *command,
        ]  # fmt: skip

    def run(self, command: list[str], environment: dict[str, str], folder: str = "/") -> str:
        """Run to its end; what it said is in the failure."""
        done = subprocess.run(
            self.argv(command, environment, folder), capture_output=True, text=True, timeout=600
        )
        assert done.returncode == 0, f"{command}\n{done.stdout[-3000:]}\n{done.stderr[-3000:]}"
        return done.stdout

    def start(
        self, command: list[str], environment: dict[str, str], log: Path, folder: str = "/"
    ) -> subprocess.Popen[bytes]:
        log.touch()
        log.chmod(0o666)  # a process may open its output again by name
        with log.open("ab") as out:
            return subprocess.Popen(self.argv(command, environment, folder), stdout=out, stderr=out)


def ip(*words: str) -> None:
    done = subprocess.run(["ip", *words], capture_output=True, text=True)
    assert done.returncode == 0, f"ip {' '.join(words)}: {done.stderr}"


@contextmanager
def networks(places: dict[str, dict[str, str]], here: dict[str, list[str]]) -> Iterator[dict[str, str]]:
    """Namespaces of containers, each with an address in each of its networks.

    Args:
        places: address with prefix by network, by container
        here: this machine's addresses by network, where it has any

    Yields:
        The namespace of each container.
    """
    _clear_left_over()
    with ExitStack() as stack:
        bridges = {name: f"{MARK}{number}" for number, name in enumerate(sorted(_all(places)))}
        for name, bridge in bridges.items():
            ip("link", "add", bridge, "type", "bridge")
            stack.callback(ip, "link", "del", bridge)
            ip("link", "set", bridge, "up")
            for address in here.get(name, []):
                ip("addr", "add", address, "dev", bridge)
        spaces = {}
        for number, (container, addresses) in enumerate(places.items()):
            space = spaces[container] = f"{MARK}-{container}"
            ip("netns", "add", space)
            stack.callback(ip, "netns", "del", space)
            ip("-n", space, "link", "set", "lo", "up")
            for network, address in addresses.items():
                _connect(space, bridges[network], f"{MARK}{number}{network[:2]}", network, address)
        yield spaces


def _clear_left_over() -> None:
    """Take away what a run that was killed has left."""
    spaces = subprocess.run(["ip", "netns"], capture_output=True, text=True, check=True).stdout.splitlines()
    for space in (line.split()[0] for line in spaces if line.startswith(f"{MARK}-")):
        for pid in subprocess.run(
            ["ip", "netns", "pids", space], capture_output=True, text=True
        ).stdout.split():
            os.kill(int(pid), signal.SIGKILL)
        ip("netns", "del", space)
    for link in Path("/sys/class/net").glob(f"{MARK}?"):
        ip("link", "del", link.name)


def _all(places: dict[str, dict[str, str]]) -> set[str]:
    return {network for addresses in places.values() for network in addresses}


def _connect(space: str, bridge: str, outer: str, inner: str, address: str) -> None:
    ip("link", "add", outer, "type", "veth", "peer", "name", inner, "netns", space)
    ip("link", "set", outer, "master", bridge, "up")
    ip("-n", space, "addr", "add", address, "dev", inner)
    ip("-n", space, "link", "set", inner, "up")
