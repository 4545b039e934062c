"""`deck-framing rules import` and `rules export`: versions as files, byte for byte, and sheets of others."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from service.cli.rule_texts import draft_in, found_in, read_text, texts_of, write_text
from service.cli.rules_drafts import database, rewrite
from service.cli.serve import DATA_DIR
from service.contract.rule_drafts import RulebookDraftChange, TableSpec
from service.rules.headers import Reading
from service.rules.meta_text import numbered_text
from service.rules.rulebook import RULEBOOK_FILE, parse_meta
from service.rules.spreadsheet import decoded_sheet, read_spreadsheet
from service.rules.table_text import preamble_of
from service.store.actor import operator
from service.store.places import read_place
from service.store.rule_drafts import Draft, Kind
from service.store.rule_writer import Content, create_draft, read_version
from service.store.texts import RulebookText
from service.web.desk import utc_now
from service.web.rule_drafting import changed_rulebook


@click.command("export")
@click.argument("version")
@click.option(
    "--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder to write to."
)
@DATA_DIR
def export_version(version: str, out: Path, data_dir: Path | None) -> None:
    """Write VERSION, or a draft, as files: `rulebook.toml` and every table, or ID.toml.

    The tables are written byte for byte. What is there already and holds
    something else is left alone.

    \b
    Example:
      deck-framing rules export irc-2021@1 --out ./irc-2021 --data-dir ./deck-data
    """
    with database(data_dir) as url:
        kind, id, number = found_in(url, version)
        content = read_version(url, kind, id, number)
    out.mkdir(parents=True, exist_ok=True)
    files = {f"{id}.toml": content} if isinstance(content, str) else _files(content)
    for name, text in files.items():
        write_text(out / name, text)
    click.echo(f"{id}@{number}: {len(files)} files in {out}")


def _files(content: RulebookText) -> dict[str, str]:
    return {RULEBOOK_FILE: content.meta, **{f"{name}.csv": text for name, text in content.tables.items()}}


def _pairs(_: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, str]:
    """Options written as name=value."""
    for one in given:
        if "=" not in one:
            raise click.BadParameter(f"{one!r} is not written as name=value", param=parameter)
    return {name: value for name, _, value in (one.partition("=") for one in given)}


@click.command("import")
@click.argument("target")
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--table", help="Kind of table FILE is.")
@click.option(
    "--map",
    "columns",
    multiple=True,
    callback=_pairs,
    help="'Their header=our_column'; 'Their header=' leaves one out.",
)
@click.option("--set", "constants", multiple=True, callback=_pairs, help="column=cell of every row.")
@click.option(
    "--preamble", multiple=True, callback=_pairs, help="key=text above the table, like section=R507.6."
)
@DATA_DIR
def import_files(
    target: str,
    file: Path | None,
    table: str | None,
    columns: dict[str, str],
    constants: dict[str, str],
    preamble: dict[str, str],
    data_dir: Path | None,
) -> None:
    """Make a draft of a folder as exported, or put a table into a draft.

    TARGET is a folder with a `rulebook.toml`, the .toml file of a jurisdiction,
    or a draft like irc-2021@2; then FILE is a spreadsheet saved as CSV whose
    columns are found by their headers: "Max Span (in)" is max_span_in. Nothing
    in it is converted.

    \b
    Example:
      deck-framing rules import irc-2021@2 county.csv --table joist_spans --set load_kind=live
    """
    if file is None:
        with database(data_dir) as url:
            click.echo(_made(url, Path(target)).reference)
        return
    if table is None:
        raise click.UsageError("say which table FILE is: --table")
    with database(data_dir) as url:
        found = draft_in(url, target)
        had = preamble_of(texts_of(found.content).tables.get(table, ""))
        reading = Reading(columns, constants, {"rulebook": found.id, **had, **preamble})
        text = read_spreadsheet(decoded_sheet(file.read_bytes(), file.name), file.name, table, reading)
        change = RulebookDraftChange(tables=(TableSpec(name=table, text=text),))
        rewrite(url, found, changed_rulebook(change, utc_now().date()))
    click.echo(f"{found.reference} has {table} of {file.name}")


def _made(url: str, path: Path) -> Draft:
    """A draft of the files at a path, with the next number there is."""
    kind, id, write = _of_place(path) if path.is_file() else _of_folder(path)
    return create_draft(url, kind, id, write, actor=operator())


Written = tuple[Kind, str, Callable[[Content | None, int], Content]]


def _of_folder(path: Path) -> Written:
    if not (path / RULEBOOK_FILE).is_file():
        raise click.UsageError(
            f"{path} is no folder with a {RULEBOOK_FILE}, no file and no draft with a FILE"
        )
    about = read_text(path / RULEBOOK_FILE)
    tables = {one.stem: read_text(one) for one in sorted(path.glob("*.csv"))}
    meta = parse_meta(about)
    return "rulebook", meta.id, lambda _, version: RulebookText(numbered_text(about, version), tables)


def _of_place(path: Path) -> Written:
    text = read_text(path)
    place = read_place(text, path.name)
    return "jurisdiction", place.id, lambda _, version: numbered_text(text, version)
