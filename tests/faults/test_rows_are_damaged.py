"""A row of what is published is changed past everything that guards it: that version is refused, the others served."""

from __future__ import annotations

import dataclasses
import time
from pathlib import Path

from tests.faults.counted import ANSWER, PROBLEM, Call, again_and_again, ask, clients
from tests.faults.running import Serve, design, designs, serving, until

CHANGES = {
    "irc-2024@1": (
        "update rule_row set line = replace(line, '1', '2') where rulebook_id = 'irc-2024' and version = 1 "
        "and position = 3",
        "update rule_row r set line = k.line from kept k where (k.rulebook_id, k.version, k.table_name, k.position) "
        "= (r.rulebook_id, r.version, r.table_name, r.position)",
        "create table kept as select * from rule_row where rulebook_id = 'irc-2024'",
    ),
    "sundrel-flats@1": (
        "update jurisdiction_version set document = replace(document, '1', '3') "
        "where jurisdiction_id = 'sundrel-flats'",
        "update jurisdiction_version v set document = k.document from kept k "
        "where (k.jurisdiction_id, k.version) = (v.jurisdiction_id, v.version)",
        "create table kept as select * from jurisdiction_version where jurisdiction_id = 'sundrel-flats'",
    ),
    "brindlemoor-yard@2": (
        "update price_book_line set line = replace(line, '1', '3') where price_book_id = 'brindlemoor-yard' "
        "and version = 2 and position = 5",
        "update price_book_line l set line = k.line from kept k "
        "where (k.price_book_id, k.version, k.position) = (l.price_book_id, l.version, l.position)",
        "create table kept as select * from price_book_line where price_book_id = 'brindlemoor-yard'",
    ),
}
NAMING = {
    "irc-2024@1": {"rulebook": "irc-2024"},
    "sundrel-flats@1": {"jurisdiction": "sundrel-flats"},
    "brindlemoor-yard@2": {"price_book": "brindlemoor-yard"},
}


def test_damaged_versions_are_refused_until_they_are_mended(data: Path) -> None:
    with serving(data) as serve:
        whole = {name: expected(serve, naming) for name, naming in NAMING.items()}
        changed(serve, 2, 0)
        # what was read before is what was published, and goes on being answered from
        time.sleep(2)
        assert [ask(serve.address, call).kind for call in whole.values()] == [ANSWER] * 3
        assert serve.stop() == 0
    with serving(data) as serve:
        assert set(serve.ready()["damaged"]) == set(CHANGES)
        assert all(f"{name} is damaged in the database" in serve.said() for name in CHANGES)
        others = designs(serve.address, 1)
        calls = [*others, *whole.values()]
        with clients(serve.address, 3, again_and_again(calls)) as counted:
            until(lambda: len(counted.outcomes) >= 12)
            for one in counted.outcomes:
                assert one.kind == (ANSWER if one.call is others[0] else PROBLEM), one
            changed(serve, 1)
            until(lambda: serve.ready()["damaged"] == [])
            mended = time.monotonic()
            until(lambda: len(counted.since(mended)) >= 8)
        counted.check("rows of a rulebook, a place and a price book damaged, then mended")
        assert counted.codes() == {"no_rulebook"}
        assert {one.kind for one in counted.since(mended)} == {ANSWER}
        assert serve.stop() == 0


def expected(serve: Serve, naming: dict[str, str]) -> Call:
    """A design that names a version, expected to be answered as it is now."""
    call = design(7, **naming)
    body = b""

    def kept(status: int, given: bytes) -> bool:
        nonlocal body
        body = given
        return status == 200

    outcome = ask(serve.address, dataclasses.replace(call, expected=kept))
    assert outcome.kind == ANSWER, outcome
    return design(7, body, **naming)


def changed(serve: Serve, *which: int) -> None:
    """Run statements of `CHANGES` as nobody but the database's own operator can."""
    with serve.superuser() as connection:
        connection.execute("set session_replication_role = replica")
        for statements in CHANGES.values():
            for number in which:
                statement = statements[number].replace("kept", f"kept_{statements[2].split()[7]}")
                done = connection.execute(statement)
                assert done.rowcount != 0, statement
