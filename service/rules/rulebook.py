"""A rulebook version as one frozen value, built from the texts of its files."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Annotated, Literal

import msgspec

from service.rules.faults import TableFault, TableRefused
from service.rules.kinds import CODE_TABLES, GUIDE_TABLES, LIMIT_TABLES, SPECIES_GROUPS
from service.rules.lookups import Reading, exact
from service.rules.parse import digest_of, parse_table
from service.rules.settings import Settings, read_settings
from service.rules.table import Row, Table
from service.rules.toml_text import read_toml, unreadable

RULEBOOK_FILE = "rulebook.toml"
# Figures no design can be made without: a rulebook that lacks one could not answer at all.
NEEDED_FIGURES = (
    "stair_width", "flight_rise", "riser_height", "riser_variation", "tread_depth", "nosing_projection_min",
    "nosing_projection_max", "nosing_not_required_tread_depth", "landing_depth", "door_drop_required_exit",
    "handrail_required_risers", "handrail_height_min", "handrail_height_max", "guard_required_above",
    "guard_grade_check_distance", "guard_opening_sphere", "stair_live_load", "guard_top_load",
)  # fmt: skip
_SIZE = re.compile(r"[1-9]x[1-9][0-9]?")
RulebookId = Annotated[
    str, msgspec.Meta(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", min_length=3, max_length=40)
]


class RulebookMeta(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What `rulebook.toml` says of a version."""

    id: RulebookId
    edition: str
    title: str
    kind: Literal["code", "guide"]
    document: str
    version: Annotated[int, msgspec.Meta(ge=1)]
    published_on: date
    notes: tuple[str, ...]


@dataclass(frozen=True)
class AppliedAmendment:
    """One local amendment as it stands in a resolved rulebook."""

    id: str
    title: str
    table: str
    column: str
    printed: str
    value: str
    document: str
    section: str


@dataclass(frozen=True, eq=False)
class Rulebook:
    """A rulebook version: its tables, its settings, and the local amendments applied to it.

    ``settings`` is null for a guide, which a design can't be made by. ``unapplied`` names amendments whose
    row this rulebook does not have, ``out_of_force`` versions a design is made by though they are not in force on
    its day, this one or its place's.
    """

    id: str
    edition: str
    version: int
    digest: str
    kind: Literal["code", "guide"]
    title: str
    document: str
    published_on: date
    notes: tuple[str, ...]
    tables: Mapping[str, Table]
    settings: Settings | None
    amendments: tuple[AppliedAmendment, ...] = ()
    unapplied: tuple[str, ...] = ()
    out_of_force: tuple[str, ...] = ()

    @property
    def in_force_settings(self) -> Settings:
        """The settings of a code; a guide has none and asking is a mistake of the program."""
        if self.settings is None:
            raise ValueError(f"{self.id} is a guide: no design is made by it")
        return self.settings

    @cached_property
    def _limits(self) -> Mapping[str, Table]:
        names = [name for name in LIMIT_TABLES if name in self.tables]
        return {str(row[0]): self.tables[name] for name in names for row in self.tables[name].rows}

    @cached_property
    def _readings(self) -> dict[str, Reading]:
        """Single figures already read, by key: a rulebook never changes, so they don't either."""
        return {}

    def limit(self, key: str) -> Reading:
        """Return a single figure by its key; off the table where this edition has no such row."""
        found = self._readings.get(key)
        if found is None:
            found = self._readings[key] = self._read_limit(key)
        return found

    def _read_limit(self, key: str) -> Reading:
        table = self._limits.get(key)
        if table is None:
            table = next(self.tables[name] for name in LIMIT_TABLES if name in self.tables)
        return exact(table, {"key": key}, "value")

    def setting(self, key: str) -> Reading:
        """Return a setting with its citation."""
        return exact(self.tables["settings"], {"key": key}, "value")


def version_digest(tables: Iterable[Table]) -> str:
    """Return the digest of a version: SHA-256 over its sorted lines of table name, tab, table digest."""
    return digest_of("".join(sorted(f"{table.name}\t{table.digest}\n" for table in tables)))


def parse_meta(text: str, file_name: str = RULEBOOK_FILE) -> RulebookMeta:
    """Return what a `rulebook.toml` says, or raise ``TableRefused``."""
    given = read_toml(text, file_name)
    try:
        return msgspec.convert(given, RulebookMeta)
    except msgspec.ValidationError as error:
        raise TableRefused([TableFault(file_name, 1, None, str(error))]) from error
    except (ValueError, OverflowError) as error:
        raise TableRefused([unreadable(error, file_name)]) from error


def needed_tables(kind: str, settings: Settings | None) -> tuple[str, ...]:
    """Return the tables a rulebook must have: those its own look-up rules read; settings are null where unreadable."""
    if kind == "guide":
        return GUIDE_TABLES
    if settings is None:
        return CODE_TABLES
    by_rule = {
        "joist_cantilevers": settings.joist_cantilever_rule == "by_back_span",
        "beam_joist_span_factors": settings.beam_lookup_rule == "factored_span",
        "footing_sizes": settings.footing_table,
    }
    return CODE_TABLES + tuple(name for name, needed in by_rule.items() if needed)


def build_rulebook(meta_text: str, table_texts: Mapping[str, str]) -> Rulebook:
    """Return a rulebook from the text of its `rulebook.toml` and of its tables by name.

    Raises ``TableRefused`` with the faults of every file together.
    """
    meta = parse_meta(meta_text)
    faults: list[TableFault] = []
    tables = _parse_all(meta, table_texts, faults)
    settings = _settings(meta, tables, faults)
    faults += _missing_tables(meta, table_texts, settings)
    faults += _keys_twice(tables)
    faults += _figures(meta, tables)
    if faults:
        raise TableRefused(faults)
    return Rulebook(
        id=meta.id,
        edition=meta.edition,
        version=meta.version,
        digest=version_digest(tables.values()),
        kind=meta.kind,
        title=meta.title,
        document=meta.document,
        published_on=meta.published_on,
        notes=meta.notes,
        tables=tables,
        settings=settings,
    )


def _parse_all(meta: RulebookMeta, texts: Mapping[str, str], faults: list[TableFault]) -> dict[str, Table]:
    tables: dict[str, Table] = {}
    sources: dict[str, Row] | None = None
    for name in sorted(texts, key=lambda name: (name != "sources", name)):
        file = f"{name}.csv"
        try:
            table = parse_table(texts[name], file, sources)
        except TableRefused as refused:
            faults += refused.faults
            continue
        if (table.name, table.rulebook_id) != (name, meta.id):
            faults.append(TableFault(file, 1, "table", f"says it is {table.name} of {table.rulebook_id}"))
            continue
        if name == "sources":
            sources = {str(row[0]): row for row in table.rows}
        tables[name] = replace(table, edition=meta.edition, version=meta.version)
    return tables


def _settings(meta: RulebookMeta, tables: Mapping[str, Table], faults: list[TableFault]) -> Settings | None:
    if meta.kind == "guide" or not {"settings", "stair_and_guard_limits"} <= tables.keys():
        return None
    try:
        guard_height = exact(tables["stair_and_guard_limits"], {"key": "guard_height"}, "value").value
        return read_settings(tables["settings"], guard_height)
    except msgspec.ValidationError as error:
        faults.append(TableFault("settings.csv", 1, "key", str(error)))
        return None


def _missing_tables(
    meta: RulebookMeta, texts: Mapping[str, str], settings: Settings | None
) -> list[TableFault]:
    return [
        TableFault(RULEBOOK_FILE, 1, name, f"{meta.id} needs this table")
        for name in needed_tables(meta.kind, settings)
        if name not in texts
    ]


def _keys_twice(tables: Mapping[str, Table]) -> list[TableFault]:
    faults: list[TableFault] = []
    seen: dict[str, str] = {}
    for name in LIMIT_TABLES:
        for row in tables[name].rows if name in tables else ():
            first = seen.setdefault(str(row[0]), name)
            if first != name:
                faults.append(TableFault(f"{name}.csv", 1, "key", f"{row[0]} is also a key of {first}"))
    return faults


def _figures(meta: RulebookMeta, tables: Mapping[str, Table]) -> list[TableFault]:
    """What a code lacks of the figures every design reads; looked for once every table of figures can be read."""
    names = [name for name in LIMIT_TABLES if name in CODE_TABLES]
    if meta.kind == "guide" or not set(names) <= tables.keys():
        return []
    values = {
        str(row[0]): tables[name].cell(at, "value")
        for name in names
        for at, row in enumerate(tables[name].rows)
    }
    faults = [
        TableFault(
            RULEBOOK_FILE,
            1,
            key,
            f"{meta.id} needs this figure: a row with a number in one of {', '.join(names)}",
        )
        for key in NEEDED_FIGURES
        if not isinstance(values.get(key), float)
    ]
    if not _SIZE.fullmatch(str(values.get("ledger_size"))):
        said = f"{meta.id} needs this size in connection_rules, like 2x8"
        faults.append(TableFault(RULEBOOK_FILE, 1, "ledger_size", said))
    return faults + _species(tables)


def _species(tables: Mapping[str, Table]) -> list[TableFault]:
    """Groups of species nobody knows the species of."""
    return [
        TableFault(f"{name}.csv", 1, "species_group", f"{group!r} is none of {', '.join(SPECIES_GROUPS)}")
        for name, table in tables.items()
        if "species_group" in table.kind.position
        for group in sorted(
            {str(table.cell(at, "species_group")) for at in range(len(table.rows))} - {*SPECIES_GROUPS}
        )
    ]
