"""The network to the database is reset, or swallows everything without a word, also in the middle of a write."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from service.settings import read_settings
from service.store.embedded import EmbeddedServer, embedded_postgres
from service.store.live import LOOK_PATIENCE_S
from tests.faults.counted import ANSWER, PROBLEM, Call, Counted, again_and_again, alternating, ask, clients
from tests.faults.relay import Relay
from tests.faults.running import Serve, designs, serving, until
from tests.faults.yards import FaultYard, check_written, is_upload, until_written

# Connecting and working, each to the end of its patience, and a look on either side.
LONGEST_WRITE_S = 10 + 30 + 4 * LOOK_PATIENCE_S


@dataclass(frozen=True)
class Apart:
    """A service, its database, and what lies between them."""

    serve: Serve
    database: EmbeddedServer
    relay: Relay

    def load(self, yards: list[FaultYard]) -> Callable[[int], Iterator[Call]]:
        """Clients that design and that publish, in the order of `alternating`."""
        return alternating(
            again_and_again(designs(self.serve.address)), lambda number: yards[number].uploads()
        )


@contextmanager
def apart(data: Path) -> Iterator[Apart]:
    with ExitStack() as stack:
        database = stack.enter_context(embedded_postgres(data, programs=read_settings().pg_bin))
        relay = stack.enter_context(Relay(data / "socket" / ".s.PGSQL.5432").running())
        url = database.service_url.replace("@/", f"@127.0.0.1:{relay.port}/").partition("?")[0]
        variables = {"DATABASE_URL": url, "DATABASE_URL_OWNER": database.owner_url}
        yield Apart(stack.enter_context(serving(data, **variables)), database, relay)


def test_reset_again_and_again_under_load(data: Path, yards: list[FaultYard]) -> None:
    with apart(data) as found:
        with clients(found.serve.address, 4, found.load(yards)) as counted:
            for _ in range(12):
                time.sleep(0.4)
                found.relay.reset()
            until_written(counted)
        counted.check("network reset twelve times")
        assert not [one for one in counted.of(PROBLEM) if not is_upload(one)]
        assert counted.codes() <= {"store_unavailable"}
        print(check_written(found.database.owner_url, counted))
        assert found.serve.stop() == 0


def test_silent_and_healed_again(data: Path, yards: list[FaultYard]) -> None:
    with apart(data) as found:
        with clients(found.serve.address, 4, found.load(yards), LONGEST_WRITE_S) as counted:
            until_written(counted)
            found.relay.swallow()
            silent = time.monotonic()
            until(lambda: not found.serve.sees_database())
            told = time.monotonic()
            until(lambda: any(is_upload(one) and one.kind == PROBLEM for one in counted.since(told)))
            found.relay.heal()
            until_written(counted)
        counted.check("network silent, then healed")
        late = [one for one in counted.since(told) if is_upload(one) and one.kind == PROBLEM]
        assert min(one.seconds for one in late) < LOOK_PATIENCE_S, "while it is away, that is said at once"
        assert [one for one in counted.since(silent) if one.kind == ANSWER and not is_upload(one)]
        assert not [one for one in counted.of(PROBLEM) if not is_upload(one)]
        print(check_written(found.database.owner_url, counted))
        assert found.serve.stop() == 0


def test_cut_while_it_commits(data: Path, yards: list[FaultYard]) -> None:
    """The one case in which nobody can know: it is said, and the same content again is the version there is."""
    with apart(data) as found:
        call = yards[0].upload(1)
        found.relay.cut_at_commit(after=b"insert into price_book_version")
        outcome = ask(found.serve.address, call)
        assert (outcome.kind, outcome.code) == (PROBLEM, "store_unavailable")
        assert "all of it was written, or nothing" in outcome.detail
        until(found.serve.sees_database)
        counted = Counted()
        counted.sending()
        counted.took(outcome)
        assert check_written(found.database.owner_url, counted).startswith("1 uploads are there whole")
        assert ask(found.serve.address, yards[0].again(1)).kind == ANSWER


def test_stopped_while_the_network_is_silent(data: Path) -> None:
    with apart(data) as found:
        until(found.serve.sees_database)
        found.relay.swallow()
        until(lambda: not found.serve.sees_database())
        assert found.serve.stop() == 0
