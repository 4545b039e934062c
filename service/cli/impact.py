"""`deck-framing impact FILE`."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import cast

import click
import msgspec

from service.app import bundled_snapshot, make_desk
from service.cli.progress import teller
from service.contract.stream import RuleImpactResult, StreamEnd, StreamProblem
from service.settings import read_settings
from service.store.reader import load_snapshot
from service.web.desk import Desk, utc_now
from service.web.streams.lines import LineReader
from service.web.streams.messages import Call
from service.web.streams.rule_impacts import refuse_unknown
from service.web.streams.work import answer_line

Answer = RuleImpactResult | StreamProblem


@click.command()
@click.argument("file", type=click.Path(allow_dash=True, exists=True, dir_okay=False, path_type=Path))
@click.option("--from", "before", required=True, help="Version designs are made by now, as irc-2021@1.")
@click.option("--to", "after", required=True, help="Version that takes its place.")
def impact(file: Path, before: str, after: str) -> None:
    """Tell which specs of FILE another version of a rulebook changes, and how.

    FILE (- for standard input) has one spec a line; each is answered with a line
    of JSON, as POST /v1/rule-impacts does. How many change is told on the error
    stream.

    Rules and prices are read from the database that DATABASE_URL names, else from
    the files that come with the service; price books are those everyone may see.

    \b
    Example:
      deck-framing impact decks.ndjson --from irc-2021@1 --to irc-2024@1
    """
    tell, desk, versions = teller(), _desk(), {"from": before, "to": after}
    refuse_unknown(versions, desk)
    counts: Counter[str] = Counter()
    with nullcontext(sys.stdin.buffer) if str(file) == "-" else file.open("rb") as lines:
        reader = LineReader(lines)
        for answer in _answers(reader, versions, desk):
            counts[_kind(answer)] += 1
            click.echo(msgspec.json.encode(answer))
    problems = counts["problem"]
    end = StreamEnd(lines=reader.count, results=counts.total() - problems, problems=problems)
    click.echo(msgspec.json.encode(end))
    tell(
        f"{counts['changed']} of {counts.total()} specs change, {counts['same']} do not; "
        f"{counts['untouched']} are of another rulebook, {problems} could not be used"
    )


def _desk() -> Desk:
    """A desk whose today is one day for all lines."""
    url, moment = read_settings().database_url, utc_now()
    return make_desk(load_snapshot(url) if url else bundled_snapshot(), clock=lambda: moment)


def _answers(reader: LineReader, versions: dict[str, str], desk: Desk) -> Iterator[Answer]:
    call = Call(work="impacts", instance="", request_id="", moment=desk.clock(), options=versions)
    while not reader.ended:
        for line in reader.chunk(most_lines=1):
            yield cast("Answer", answer_line(line, call, desk))


def _kind(answer: Answer) -> str:
    if isinstance(answer, StreamProblem):
        return "problem"
    return "changed" if answer.changed else "same" if answer.applies else "untouched"
