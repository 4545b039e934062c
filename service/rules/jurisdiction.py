"""A place and its local law: adoptions by date, site values, settings and amendments in their order."""

from __future__ import annotations

import json
import re
from collections.abc import Set
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal

import msgspec

from service.rules.amendment import SITE, Amendment, Line, amendment_faults
from service.rules.faults import TableFault, TableRefused
from service.rules.parse import digest_of
from service.rules.rulebook import AppliedAmendment, RulebookId
from service.rules.settings import local_setting_fault
from service.rules.toml_text import read_toml, unreadable
from service.units.citation import Citation

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


@dataclass(frozen=True)
class SiteAmended:
    """An amendment of one of the place's own values, which it changed from ``printed`` to ``value``."""

    amendment: Amendment
    printed: str
    value: object

    @property
    def told(self) -> AppliedAmendment:
        """What is told of it."""
        one, law = self.amendment, self.amendment.citation
        return AppliedAmendment(
            one.id, one.title, SITE, one.key, self.printed, _shown(self.value), law.document, law.section
        )


# The place's own lists, which an amendment gives as words with a blank between them.
LISTED = ("pile_inspection", "methods_not_allowed")
SITE_KEYS = (*SiteValues.__struct_fields__, *LISTED)


class PermitExemption(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The largest free-standing deck that needs no construction permit here."""

    max_area_sqft: Annotated[float, msgspec.Meta(gt=0, le=5000)]
    max_height_in: Annotated[float, msgspec.Meta(gt=0, le=240)]


class Jurisdiction(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A place whose building department decides.

    ``text`` is its file as it was read, ``digest`` is over the canonical form of it. Its own values are as amended:
    ``site_amended`` tells from what, in order.
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
    site_amended: tuple[SiteAmended, ...] = ()

    @property
    def citation_document(self) -> str:
        """The words a local setting is cited by."""
        return f"local settings of {self.name}"

    def law_of(self, name: str) -> Citation | None:
        """Return where a value of the place itself was last amended; null where its file just states it."""
        last = next((one for one in reversed(self.site_amended) if one.amendment.key == name), None)
        return None if last is None else last.amendment.citation.citation


def canonical_form(text: str) -> str:
    """Return a jurisdiction file as JSON with sorted keys and no spaces: what its digest is taken over.

    Raises:
        TableRefused: it cannot be read
    """
    return _canonical(read_toml(text, "document"))


def _canonical(given: dict[str, Any]) -> str:
    return json.dumps(given, sort_keys=True, separators=(",", ":"), ensure_ascii=False, default=str)


def parse_jurisdiction(text: str, file_name: str) -> Jurisdiction:
    """Return the jurisdiction in ``text``, or raise ``TableRefused`` with file and line."""
    given = read_toml(text, file_name)
    try:
        read = {"digest": digest_of(_canonical(given)), "text": text}
        place = msgspec.convert({**given, **read}, Jurisdiction)
    except msgspec.ValidationError as error:
        raise TableRefused([_shape_fault(str(error), text, file_name)]) from error
    except (ValueError, RecursionError, OverflowError) as error:
        raise TableRefused([unreadable(error, file_name)]) from error
    found = _faults(place)
    found += [
        (name, f"{name} is worked out, never given") for name in (*read, "site_amended") if name in given
    ]
    if not found:
        place, found = _overlaid(place)
    if found:
        raise TableRefused([TableFault(file_name, _line_of(text, path), path, what) for path, what in found])
    return place


def zone_faults(place: Jurisdiction, file_name: str, known: Set[str]) -> list[TableFault]:
    """Return the fault of a place whose time zone is none of those known, by the very letters; none otherwise.

    Which are known is told from outside, since their list is read from files.
    """
    if place.time_zone in known:
        return []
    said = (
        f"there is no time zone {place.time_zone}; one is written as in America/New_York, with its capitals"
    )
    return [TableFault(file_name, _line_of(place.text, "time_zone"), "time_zone", said)]


def _overlaid(place: Jurisdiction) -> tuple[Jurisdiction, list[tuple[str, str]]]:
    """The place with its own values as its amendments have them, in their order, and what is wrong with these."""
    found: list[tuple[str, str]] = []
    for number, amendment in enumerate(place.amendments):
        if amendment.table != SITE:
            continue
        try:
            place = _with_own_value(place, amendment)
        except msgspec.ValidationError as error:
            found.append((f"amendments[{number}].value", str(error)))
    return place, found


def _with_own_value(place: Jurisdiction, amendment: Amendment) -> Jurisdiction:
    key, value = amendment.key, amendment.cells["value"]
    holder = place if key in LISTED else place.site
    given = tuple(str(value).split()) if key in LISTED else value
    kind = next(one.type for one in msgspec.structs.fields(holder) if one.name == key)
    made = msgspec.convert(given, kind)
    amended = SiteAmended(amendment, _shown(getattr(holder, key)), made)
    if holder is place:
        changed = msgspec.structs.replace(place, **{key: made})
    else:
        changed = msgspec.structs.replace(place, site=msgspec.structs.replace(place.site, **{key: made}))
    return msgspec.structs.replace(changed, site_amended=(*place.site_amended, amended))


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        return " ".join(value)
    return f"{value:g}" if isinstance(value, (int, float)) else str(value)


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
        found += [
            (f"amendments[{number}].{word}", what) for word, what in amendment_faults(amendment, SITE_KEYS)
        ]
    return found
