"""A jurisdiction's law laid over a rulebook: single cells and settings, each remembering what was printed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import msgspec

from service.rules.citing import shown
from service.rules.faults import TableFault, TableRefused
from service.rules.jurisdiction import Amendment, Jurisdiction
from service.rules.lookups import exact
from service.rules.rulebook import AppliedAmendment, Rulebook
from service.rules.settings import Settings, read_settings, setting_cell
from service.rules.table import Amended, Table, Value
from service.units.citation import Citation

CONVENTION = "convention of this service"


def apply_amendments(rulebook: Rulebook, jurisdiction: Jurisdiction) -> Rulebook:
    """Return the rulebook as it stands in a place.

    The id, version and digest stay those of the published rulebook. An amendment whose rows this rulebook
    does not have is listed in ``unapplied``: the caller must not answer better than `engineer_required` then.
    Raises ``TableRefused`` where a setting of the place is not one the rulebook can take.
    """
    if rulebook.kind == "guide":
        return rulebook
    tables = dict(rulebook.tables)
    applied: list[AppliedAmendment] = []
    unapplied: list[str] = []
    for amendment in jurisdiction.amendments:
        rows = _matching(tables.get(amendment.table), amendment)
        if not rows:
            unapplied.append(amendment.id)
            continue
        table = tables[amendment.table]
        applied.append(_record(table, rows[0], amendment))
        tables[amendment.table] = _amended(table, rows, amendment, _citation(amendment))
    for key, value in jurisdiction.settings.items():
        tables["settings"] = _set(tables["settings"], key, setting_cell(value), jurisdiction)
    resolved = replace(rulebook, tables=tables, amendments=tuple(applied), unapplied=tuple(unapplied))
    return replace(resolved, settings=_settings(resolved, jurisdiction))


def adoption_faults(jurisdiction: Jurisdiction, rulebooks: Mapping[str, Rulebook]) -> list[TableFault]:
    """Return what is wrong between a place and the rulebooks it adopts; empty where all is well.

    A rulebook nobody has, a guide adopted as a code, or an amendment that finds no row in the rulebook
    adopted last.
    """
    file = f"{jurisdiction.id}.toml"
    faults = [
        TableFault(file, 1, "adoptions", f"{adoption.rulebook} is no code this service has")
        for adoption in jurisdiction.adoptions
        if adoption.rulebook not in rulebooks or rulebooks[adoption.rulebook].kind != "code"
    ]
    latest = rulebooks.get(jurisdiction.adoptions[-1].rulebook)
    unapplied = apply_amendments(latest, jurisdiction).unapplied if latest else ()
    return faults + [
        TableFault(file, 1, "amendments", f"{name} finds no row in {latest.id}")
        for name in unapplied
        if latest
    ]


def _matching(table: Table | None, amendment: Amendment) -> list[int]:
    if table is None:
        return []
    wanted = {table.kind.position[name]: value for name, value in amendment.match.items()}
    return [n for n, row in enumerate(table.rows) if all(row[p] == value for p, value in wanted.items())]


def _citation(amendment: Amendment) -> Citation:
    law = amendment.citation
    return Citation(document=law.document, section=law.section, status=law.status)


def _record(table: Table, row: int, amendment: Amendment) -> AppliedAmendment:
    return AppliedAmendment(
        id=amendment.id,
        title=amendment.title,
        table=amendment.table,
        column=amendment.column,
        printed=shown(table.cell(row, amendment.column)),
        value=shown(setting_cell(amendment.value)),
        document=amendment.citation.document,
        section=amendment.citation.section,
    )


def _amended(table: Table, rows: list[int], amendment: Amendment, citation: Citation) -> Table:
    marks = {
        (row, amendment.column): Amended(amendment.id, table.cell(row, amendment.column), citation)
        for row in rows
    }
    return _with_cells(table, dict.fromkeys(marks, setting_cell(amendment.value)), marks)


def _with_cells(
    table: Table, cells: dict[tuple[int, str], Value], marks: dict[tuple[int, str], Amended]
) -> Table:
    rows = list(table.rows)
    for (number, column), value in cells.items():
        place = table.kind.position[column]
        rows[number] = (*rows[number][:place], value, *rows[number][place + 1 :])
    return replace(table, rows=tuple(rows), amended={**table.amended, **marks})


def _set(table: Table, key: str, value: Value, jurisdiction: Jurisdiction) -> Table:
    row = table.by_key.get((key,))
    if row is None:  # a setting younger than the rulebook's own table
        unset = (key, "no", None, "own_convention", CONVENTION, None)
        table, row = replace(table, rows=(*table.rows, unset)), len(table.rows)
    cite = Citation(document=jurisdiction.citation_document, section=key, status="own_convention")
    mark = Amended(jurisdiction.id, table.cell(row, "value"), cite)
    return _with_cells(table, {(row, "value"): value}, {(row, "value"): mark})


def _settings(rulebook: Rulebook, jurisdiction: Jurisdiction) -> Settings | None:
    if rulebook.settings is None:
        return None
    guard_height = exact(rulebook.tables["stair_and_guard_limits"], {"key": "guard_height"}, "value").value
    try:
        return read_settings(rulebook.tables["settings"], guard_height)
    except msgspec.ValidationError as error:
        fault = TableFault(f"{jurisdiction.id}.toml", 1, "settings", str(error))
        raise TableRefused([fault]) from error
