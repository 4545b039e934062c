"""A place and its local law: adoptions by date, site values, settings and amendments of single cells."""

from __future__ import annotations

import json
import re
import tomllib
from datetime import date
from typing import Annotated, Literal

import msgspec

from service.rules.faults import TableFault, TableRefused
from service.rules.kinds import KINDS
from service.rules.parse import digest_of
from service.rules.rulebook import RulebookId
from service.rules.settings import local_setting_fault

PileInspection = Literal["none", "torque_log", "engineer_letter", "special_inspector"]
Method = Literal[
    "tube_form_pier",
    "pad_and_pier",
    "belled_pier",
    "post_on_buried_pad",
    "helical_pile",
    "pier_block_on_grade",
]
SoilClass = Literal[
    "crystalline_bedrock", "sedimentary_rock", "sandy_gravel", "sand", "clay", "organic_or_fill", "unknown"
]
Inspection = Literal["footing_holes", "pile_torque", "ledger_and_flashing", "framing", "final"]
Permit = Literal["zoning", "construction", "electrical", "right_of_way"]
Status = Literal["two_sources", "one_source", "second_hand", "memory", "common_practice", "own_convention"]
Line = Annotated[str, msgspec.Meta(min_length=1, max_length=400)]
Word = Annotated[str, msgspec.Meta(pattern=r"^[a-z][a-z0-9_]*$")]


class Adoption(msgspec.Struct, frozen=True, forbid_unknown_fields=True, rename={"from_day": "from"}):
    """The rulebook a place adopted, and the day it came into force there."""

    rulebook: RulebookId
    from_day: date


class SiteValues(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Site values of a place, used where a spec gives none."""

    frost_depth_in: Annotated[float, msgspec.Meta(ge=0, le=120)]
    ground_snow_load_psf: Annotated[float, msgspec.Meta(ge=0, le=300)]
    wind_speed_mph: Annotated[float, msgspec.Meta(ge=0, le=250)]
    seismic_design_category: Literal["A", "B", "C", "D0", "D1", "D2", "E"]
    soil_class: SoilClass
    soil_bearing_psf: Annotated[float, msgspec.Meta(ge=500, le=12000)]
    salt_water_distance_ft: Annotated[float, msgspec.Meta(ge=0, le=10_000_000)]


class AmendmentCitation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where a local amendment is written."""

    document: Line
    section: Line
    status: Status = "one_source"


class Amendment(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A local change of one column in the rows that ``match``."""

    id: RulebookId
    title: Line
    table: Word
    match: dict[str, float | str]
    column: Word
    value: float | str
    citation: AmendmentCitation


class PermitExemption(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The largest free-standing deck that needs no construction permit here."""

    max_area_sqft: Annotated[float, msgspec.Meta(gt=0, le=5000)]
    max_height_in: Annotated[float, msgspec.Meta(gt=0, le=240)]


class Jurisdiction(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A place whose building department decides.

    ``text`` is its file as it was read, ``digest`` is over the canonical form of it.
    """

    id: RulebookId
    name: Line
    version: Annotated[int, msgspec.Meta(ge=1)]
    time_zone: Annotated[str, msgspec.Meta(pattern=r"^[A-Z][A-Za-z_]+(/[A-Za-z_+-]+)+$")]
    adoptions: Annotated[tuple[Adoption, ...], msgspec.Meta(min_length=1)]
    site: SiteValues
    pile_inspection: Annotated[tuple[PileInspection, ...], msgspec.Meta(min_length=1)]
    permits: tuple[Permit, ...]
    inspections: tuple[Inspection, ...]
    methods_not_allowed: tuple[Method, ...] = ()
    settings: dict[str, float | str | bool] = {}
    permit_notes: tuple[Line, ...] = ()
    permit_exempt: PermitExemption | None = None
    local_notes: tuple[Line, ...] = ()
    amendments: tuple[Amendment, ...] = ()
    digest: str = ""
    text: str = ""

    @property
    def citation_document(self) -> str:
        """The words a local setting is cited by."""
        return f"local settings of {self.name}"


def canonical_form(text: str) -> str:
    """Return a jurisdiction file as JSON with sorted keys and no spaces: what its digest is taken over."""
    given = tomllib.loads(text)
    return json.dumps(given, sort_keys=True, separators=(",", ":"), ensure_ascii=False, default=str)


def parse_jurisdiction(text: str, file_name: str) -> Jurisdiction:
    """Return the jurisdiction in ``text``, or raise ``TableRefused`` with file and line."""
    try:
        given = tomllib.loads(text)
        read = {"digest": digest_of(canonical_form(text)), "text": text}
        place = msgspec.convert({**given, **read}, Jurisdiction)
    except tomllib.TOMLDecodeError as error:
        raise TableRefused([TableFault(file_name, _line_in(str(error)), None, str(error))]) from error
    except msgspec.ValidationError as error:
        raise TableRefused([_shape_fault(str(error), text, file_name)]) from error
    found = _faults(place)
    found += [(name, f"a {name} is worked out, never given") for name in read if name in given]
    if found:
        raise TableRefused([TableFault(file_name, _line_of(text, path), path, what) for path, what in found])
    return place


def _line_in(message: str) -> int:
    """The line a TOML error names in its own words."""
    found = re.search(r"at line (\d+)", message)
    return int(found[1]) if found else 1


def _shape_fault(message: str, text: str, file_name: str) -> TableFault:
    what, _, path = message.partition(" - at `$")
    path = path.strip("`.").replace("[...]", "")
    named = re.search(r"field `(\w+)`", what)
    if named and "unknown" in what:
        path = f"{path}.{named[1]}".strip(".")
    return TableFault(file_name, _line_of(text, path), path or None, what)


def _line_of(text: str, path: str) -> int:
    """The line on which a path like `amendments[1].column` stands."""
    lines, at = text.split("\n"), 0
    for word in path.split("."):
        name, _, index = word.rstrip("]").partition("[")
        at = _next_line(lines, at, name, int(index or 0))
    return at + 1


def _next_line(lines: list[str], start: int, name: str, index: int) -> int:
    headers = [n for n, line in enumerate(lines) if n >= start and line in (f"[{name}]", f"[[{name}]]")]
    if headers:
        return headers[min(index, len(headers) - 1)]
    named = re.compile(rf"(^|\W){re.escape(name)} =")
    return next((n for n, line in enumerate(lines) if n >= start and named.search(line)), start)


def _faults(place: Jurisdiction) -> list[tuple[str, str]]:
    """What the types can't say: each fault with the path it stands at."""
    found: list[tuple[str, str]] = []
    days = [adoption.from_day for adoption in place.adoptions]
    if days != sorted(set(days)):
        found.append(("adoptions", "adoptions must stand in rising order of their day, none twice"))
    for key, value in place.settings.items():
        fault = local_setting_fault(key, value)
        if fault:
            found.append((f"settings.{key}", fault))
    seen: set[str] = set()
    for number, amendment in enumerate(place.amendments):
        if amendment.id in seen:
            found.append((f"amendments[{number}].id", f"{amendment.id} is given twice"))
        seen.add(amendment.id)
        found += [(f"amendments[{number}].{word}", what) for word, what in _amendment_faults(amendment)]
    return found


def _amendment_faults(amendment: Amendment) -> list[tuple[str, str]]:
    kind = KINDS.get(amendment.table)
    if kind is None or amendment.table in ("sources", "settings"):
        return [("table", f"{amendment.table} is no table that can be amended")]
    faults = [
        ("match", f"{amendment.table} is not keyed by {name}")
        for name in amendment.match
        if name not in kind.key
    ]
    if not amendment.match:
        faults.append(("match", "an amendment names the rows it changes"))
    if amendment.column not in kind.safer and amendment.column != "value":
        faults.append(("column", f"{amendment.column} is no column an amendment may change"))
    elif amendment.column not in kind.position:
        faults.append(("column", f"{amendment.table} has no column {amendment.column}"))
    elif amendment.column in kind.safer and isinstance(amendment.value, str):
        faults.append(("value", f"{amendment.column} takes a number"))
    return faults
