"""A row of what is published is changed past everything that guards it: that version is refused, the others served."""

from __future__ import annotations

import dataclasses
import time
from pathlib import Path

from tests.faults.counted import ANSWER, PROBLEM, Call, again_and_again, ask, clients
from tests.faults.running import Serve, design, designs, serving, until

# The table a version is kept in, and what takes ones for twos and twos for ones in it: done again, all is as it was.
SWAPS = {
    "irc-2024@1": (
        "rule_row",
        "update rule_row set line = translate(line, '12', '21') "
        "where rulebook_id = 'irc-2024' and version = 1 and position = 3",
    ),
    "sundrel-flats@1": (
        "jurisdiction_version",
        "update jurisdiction_version set document = translate(document, '12', '21') "
        "where jurisdiction_id = 'sundrel-flats'",
    ),
    "brindlemoor-yard@2": (
        "price_book_line",
        "update price_book_line set line = translate(line, '12', '21') "
        "where price_book_id = 'brindlemoor-yard' and version = 2 and position = 5",
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
        swap_digits(serve)
        # what was read before is what was published, and goes on being answered from
        time.sleep(2)
        assert [ask(serve.address, call).kind for call in whole.values()] == [ANSWER] * 3
        assert serve.stop() == 0
    with serving(data) as serve:
        assert set(serve.ready()["damaged"]) == set(SWAPS)
        assert all(f"{name} is damaged in the database" in serve.said() for name in SWAPS)
        others = designs(serve.address, 1)
        calls = [*others, *whole.values()]
        with clients(serve.address, 3, again_and_again(calls)) as counted:
            until(lambda: len(counted.outcomes) >= 12)
            for one in counted.outcomes:
                assert one.kind == (ANSWER if one.call is others[0] else PROBLEM), one
            swap_digits(serve)
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


def swap_digits(serve: Serve) -> None:
    """Change rows as nobody but the database's own operator can: with what guards their tables switched off."""
    for table, statement in SWAPS.values():
        with serve.superuser() as connection, connection.transaction():
            connection.execute(f"alter table {table} disable trigger user")
            assert connection.execute(statement).rowcount > 0
            connection.execute(f"alter table {table} enable trigger user")
