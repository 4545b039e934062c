"""A jurisdiction's law laid over a rulebook, amendment by amendment in its order, each remembering what was printed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import msgspec

from service.rules.amended_rows import NO_ROW, Misfit, lay, record
from service.rules.amendment import SETTINGS, SITE, Amendment
from service.rules.faults import TableFault, TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.lookups import exact
from service.rules.order import disorders
from service.rules.parse import gap_faults
from service.rules.rulebook import AppliedAmendment, Rulebook
from service.rules.settings import Settings, read_settings, setting_cell
from service.rules.table import Amended, Table, Value
from service.units.citation import Citation

CONVENTION = "convention of this service"


def apply_amendments(rulebook: Rulebook, jurisdiction: Jurisdiction) -> Rulebook:
    """Return the rulebook as it stands in a place.

    The id, version and digest stay those of the published rulebook. Amendments are laid on in the order the place
    gives them: of two of one cell the later holds, and both are told. One that does not fit this rulebook is listed
    in ``unapplied``: the caller must not answer better than `engineer_required` then.
    Raises ``TableRefused`` where a setting of the place is not one the rulebook can take.
    """
    if rulebook.kind == "guide":
        return rulebook
    return _resolved(rulebook, jurisdiction).rulebook


def adoption_faults(jurisdiction: Jurisdiction, rulebooks: Mapping[str, Rulebook]) -> list[TableFault]:
    """Return what is wrong between a place and the rulebooks it adopts; empty where all is well.

    A rulebook nobody has, a guide adopted as a code, or an amendment that does not fit the rulebook adopted last.
    """
    file = f"{jurisdiction.id}.toml"
    faults = [
        TableFault(file, 1, "adoptions", f"{adoption.rulebook} is no code this service has")
        for adoption in jurisdiction.adoptions
        if adoption.rulebook not in rulebooks or rulebooks[adoption.rulebook].kind != "code"
    ]
    latest = rulebooks.get(jurisdiction.adoptions[-1].rulebook)
    if latest is None or latest.kind != "code":
        return faults
    misfits = _resolved(latest, jurisdiction).misfits
    return faults + [
        TableFault(file, 1, "amendments", f"{name} {why} in {latest.id}") for name, why in misfits.items()
    ]


@dataclass
class _Laying:
    """A rulebook's tables while amendments are laid on them, and why some don't fit, by id."""

    tables: dict[str, Table]
    applied: list[AppliedAmendment] = field(default_factory=list)
    misfits: dict[str, str] = field(default_factory=dict)

    def lay(self, amendment: Amendment, place: Jurisdiction) -> None:
        if amendment.table == SITE:
            self.applied += (one.told for one in place.site_amended if one.amendment.id == amendment.id)
        elif amendment.table == SETTINGS:
            self._set(amendment)
        elif amendment.table not in self.tables:
            self.misfits[amendment.id] = NO_ROW
        else:
            laid = lay(self.tables, amendment)
            self.tables[amendment.table] = laid.table
            self.applied += laid.records

    def _set(self, amendment: Amendment) -> None:
        value, before = setting_cell(amendment.cells["value"]), self.tables[SETTINGS]
        law = amendment.citation.citation
        self.tables[SETTINGS] = _set(before, amendment.key, value, amendment.id, law)
        row = before.by_key.get((amendment.key,))
        printed = None if row is None else before.cell(row, "value")
        self.applied.append(record(amendment, amendment.key, printed, value))


@dataclass(frozen=True)
class _Resolved:
    rulebook: Rulebook
    misfits: Mapping[str, str]


def _resolved(rulebook: Rulebook, place: Jurisdiction) -> _Resolved:
    """Lay all on; where what comes of it breaks a rule of the whole table, lay on again without what broke it."""
    barred: dict[str, str] = {}
    while True:
        laying = _all_laid(rulebook, place, barred)
        broken = dict(_broken(laying.tables, place, barred))
        if not broken:
            break
        barred |= broken
    resolved = replace(
        rulebook,
        tables=laying.tables,
        amendments=tuple(laying.applied),
        unapplied=tuple(one.id for one in place.amendments if one.id in laying.misfits),
    )
    return _Resolved(replace(resolved, settings=_settings(resolved, place)), laying.misfits)


def _all_laid(rulebook: Rulebook, place: Jurisdiction, barred: Mapping[str, str]) -> _Laying:
    laying = _Laying(dict(rulebook.tables), misfits=dict(barred))
    for key, value in place.settings.items():
        cite = Citation(document=place.citation_document, section=key, status="own_convention")
        laying.tables[SETTINGS] = _set(laying.tables[SETTINGS], key, setting_cell(value), place.id, cite)
    for amendment in place.amendments:
        if amendment.id not in barred:
            try:
                laying.lay(amendment, place)
            except Misfit as misfit:
                laying.misfits[amendment.id] = str(misfit)
    return laying


def _broken(
    tables: Mapping[str, Table], place: Jurisdiction, barred: Mapping[str, str]
) -> Iterator[tuple[str, str]]:
    """Amendments that leave a gap in a table or its rows out of order, or a guard height no setting can have."""
    for table in tables.values():
        yield from disorders(table)
    for amendment in place.amendments:
        if amendment.id in barred:
            continue
        if amendment.change == "added" and amendment.table in tables:
            for gap in gap_faults(tables[amendment.table].kind, tables[amendment.table].rows):
                yield amendment.id, f"leaves {gap}"
        elif amendment.key == "guard_height":
            why = _settings_fault(tables)
            if why:
                yield amendment.id, why


def _set(table: Table, key: str, value: Value, name: str, cite: Citation) -> Table:
    row = table.by_key.get((key,))
    if row is None:  # a setting younger than the rulebook's own table
        unset = (key, "no", None, "own_convention", CONVENTION, None)
        table, row = replace(table, rows=(*table.rows, unset)), len(table.rows)
    place = table.kind.position["value"]
    mark = Amended(name, table.cell(row, "value"), cite, earlier=table.amended.get((row, "value")))
    made = (*table.rows[row][:place], value, *table.rows[row][place + 1 :])
    rows = (*table.rows[:row], made, *table.rows[row + 1 :])
    return replace(table, rows=rows, amended={**table.amended, (row, "value"): mark})


def _read_settings(tables: Mapping[str, Table]) -> Settings:
    guard_height = exact(tables["stair_and_guard_limits"], {"key": "guard_height"}, "value").value
    return read_settings(tables[SETTINGS], guard_height)


def _settings_fault(tables: Mapping[str, Table]) -> str:
    try:
        _read_settings(tables)
    except msgspec.ValidationError as error:
        return str(error)
    return ""


def _settings(rulebook: Rulebook, jurisdiction: Jurisdiction) -> Settings | None:
    if rulebook.settings is None:
        return None
    try:
        return _read_settings(rulebook.tables)
    except msgspec.ValidationError as error:
        fault = TableFault(f"{jurisdiction.id}.toml", 1, "settings", str(error))
        raise TableRefused([fault]) from error
