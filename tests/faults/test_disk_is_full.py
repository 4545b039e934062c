"""The disk is full: no file of the database, or of the service, may grow any more. Writes fail, designs go on."""

from __future__ import annotations

import json
import subprocess
import time
from pathlib import Path

from tests.faults.counted import ANSWER, PROBLEM, Call, again_and_again, alternating, ask, clients
from tests.faults.running import Serve, alive, descendants, designs, serving, small_deck, until
from tests.faults.yards import FaultYard, check_written, is_upload, until_designed, until_written

NDJSON = {"Content-Type": "application/x-ndjson"}
TABLE = "select pg_relation_filepath('price_book_line'), pg_relation_size('price_book_line')"


def test_no_table_can_grow(data: Path, yards: list[FaultYard]) -> None:
    with serving(data) as serve:
        with serve.superuser() as connection:
            # a new log segment, whose beginning is within what is allowed
            connection.execute("select pg_switch_wal()")
            connection.execute("create table beginning (n int)")
            found = connection.execute(TABLE).fetchone()
        assert found is not None
        full(serve, serve.postgres(), int(found[1]))
        survives(serve, yards, "tables cannot grow")
        assert "could not extend file" in (data / "server.log").read_text()
        assert "it is started again" not in serve.said()


def test_nothing_can_be_written_at_all(data: Path, yards: list[FaultYard]) -> None:
    """The database gives up, and there is room again by the time it reads its log."""
    with serving(data) as serve:
        full(serve, serve.process.pid, 65536)
        survives(serve, yards, "nothing can be written")
        assert "PANIC" in (data / "server.log").read_text()


def survives(serve: Serve, yards: list[FaultYard], name: str) -> None:
    """What clients see of a disk that is full, and then is not."""
    both = alternating(again_and_again(designs(serve.address)), lambda number: yards[number].uploads())
    with clients(serve.address, 4, both) as counted:
        until(lambda: any(is_upload(one) and one.kind == PROBLEM for one in counted.outcomes))
        refused = time.monotonic()
        roomy(serve)
        until_designed(counted, refused)
        until_written(counted)
    counted.check(f"disk full: {name}")
    assert counted.codes() == {"store_unavailable"}
    assert not [one for one in counted.of(PROBLEM) if not is_upload(one)]
    print(check_written(serve.owner_url(), counted))
    running = serve.postgres()
    assert serve.stop() == 0
    assert not alive(running)


def full(serve: Serve, first: int, most_bytes: int) -> None:
    """From now on no file that a process, or one it has started, writes to may be larger; nor of those it starts."""
    for one in (first, *descendants(first)):
        limit(one, str(most_bytes))


def roomy(serve: Serve) -> None:
    """Any file may be of any size again, also those of processes that are being started in this moment."""
    for _ in range(2):
        for one in (serve.process.pid, *descendants(serve.process.pid)):
            limit(one, "unlimited")


def limit(process: int, most_bytes: str) -> None:
    """Limit the files a process writes to, as the user it runs as: root may be kept from another's."""
    command = ["prlimit", "--pid", str(process), f"--fsize={most_bytes}:unlimited"]
    owner = Path(f"/proc/{process}").stat() if alive(process) else None
    if owner is not None:
        done = subprocess.run(command, user=owner.st_uid, group=owner.st_gid, check=False)
        assert done.returncode == 0 or not alive(process)


def test_no_room_for_the_body_of_a_batch(data: Path) -> None:
    with serving(data) as serve:
        expected = designs(serve.address, 1)
        limit(serve.process.pid, str(1 << 20))
        outcomes = [ask(serve.address, batch(size)) for size in (3 << 20, 0, 3 << 20)]
        assert [(one.kind, one.code) for one in outcomes] == [
            (PROBLEM, "overloaded"),
            (ANSWER, ""),
            (PROBLEM, "overloaded"),
        ]
        assert "no room on disk" in outcomes[0].detail
        assert ask(serve.address, expected[0]).kind == ANSWER
        roomy(serve)
        assert ask(serve.address, batch(3 << 20)).kind == ANSWER
        print(f"\nno room for a batch: {[f'{one.kind} {one.code}' for one in outcomes]}, then answered")


def batch(more_bytes: int) -> Call:
    """A batch of two decks, with so many bytes of empty lines behind them."""
    lines = [json.dumps(small_deck(number)) for number in range(2)]
    body = "".join(f"{one}\n" for one in lines).encode() + b"\n" * more_bytes

    def whole(status: int, answer: bytes) -> bool:
        end = json.loads(answer.splitlines()[-1])
        return status == 200 and (end["kind"], end["results"]) == ("end", 2)

    return Call("/v1/design-batches?view=summary", whole, body, NDJSON)
