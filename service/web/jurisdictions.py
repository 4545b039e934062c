"""GET /v1/jurisdictions: places, the rulebook in force there, and what local law changes."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

import msgspec
from litestar import Request, get
from litestar.params import QueryParameter

from service.contract.problem import Rejected
from service.rules.amendment import Amendment
from service.rules.choice import rulebook_in_force
from service.rules.jurisdiction import Jurisdiction, SiteValues
from service.store.errors import NotServed
from service.units.citation import Citation
from service.web.chosen import choose
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import JSON, best_type
from service.web.path_names import id_in_path

AnyRequest = Request[Any, Any, Any]

JurisdictionName = Annotated[str, id_in_path("a jurisdiction", "alder-county")]
Search = Annotated[
    str | None,
    QueryParameter(
        description="Part of a name or id",
        pattern=r"^[^\x00-\x1f\x7f]*$",
        max_length=80,
        schema_extra={"examples": ["county"]},
    ),
]


class JurisdictionSummary(msgspec.Struct, frozen=True, kw_only=True):
    """A place and the rulebook in force there today."""

    id: str
    name: str
    version: int
    digest: str
    rulebook_in_force: str | None
    url: str


class JurisdictionList(msgspec.Struct, frozen=True, kw_only=True):
    """Places found, by id."""

    items: tuple[JurisdictionSummary, ...]
    next: str | None


class AdoptedRulebook(msgspec.Struct, frozen=True, kw_only=True):
    """A rulebook and the day it came into force."""

    rulebook: str
    in_force_from: date


class NamedValue(msgspec.Struct, frozen=True, kw_only=True):
    """A name and what it stands at."""

    name: str
    value: float | str | bool


class LocalAmendment(msgspec.Struct, frozen=True, kw_only=True):
    """A local change of the rows that match: values changed, a row added, or rows removed.

    ``column`` and ``value`` repeat the one value that is changed; null where there are several or none.
    """

    id: str
    title: str
    table: str
    match: tuple[NamedValue, ...]
    change: str
    column: str | None
    value: float | str | bool | None
    values: tuple[NamedValue, ...]
    citation: Citation


class PermitExempt(msgspec.Struct, frozen=True, kw_only=True):
    """The largest free-standing deck that needs no construction permit here."""

    max_area_sqft: float
    max_height_in: float


class LocalSite(msgspec.Struct, frozen=True, kw_only=True):
    """Site values used where a spec gives none."""

    frost_depth_in: float
    ground_snow_load_psf: float
    wind_speed_mph: float
    seismic_design_category: str
    soil_class: str
    soil_bearing_psf: float
    salt_water_distance_ft: float


class JurisdictionAnswer(JurisdictionSummary, frozen=True, kw_only=True):
    """A place with all of its local rules."""

    time_zone: str
    adoptions: tuple[AdoptedRulebook, ...]
    site: LocalSite
    settings: tuple[NamedValue, ...]
    amendments: tuple[LocalAmendment, ...]
    pile_inspection: tuple[str, ...]
    methods_not_allowed: tuple[str, ...]
    permits: tuple[str, ...]
    inspections: tuple[str, ...]
    permit_exempt: PermitExempt | None
    permit_notes: tuple[str, ...]
    local_notes: tuple[str, ...]


_AS_THEY_ARE = (
    "time_zone", "pile_inspection", "methods_not_allowed", "permits", "inspections", "permit_notes", "local_notes",
)  # fmt: skip


@get(
    "/v1/jurisdictions",
    operation_id="listJurisdictions",
    summary="Places with local rules",
    tags=["rules"],
    sync_to_thread=False,
)
def list_jurisdictions(request: AnyRequest, desk: GivenDesk, q: Search = None) -> JurisdictionList:
    """List every place as it is in force today whose name or id holds what is searched for."""
    best_type(request, [JSON])
    wanted = (q or "").casefold()
    places = (desk.place(name) for name in desk.places())
    found = (place for place in places if wanted in place.name.casefold() or wanted in place.id)
    return JurisdictionList(
        items=tuple(JurisdictionSummary(**_summary(one, desk)) for one in found), next=None
    )


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}",
    operation_id="getJurisdiction",
    summary="One place",
    tags=["rules"],
    sync_to_thread=False,
)
def get_jurisdiction(
    jurisdiction_id: JurisdictionName, request: AnyRequest, desk: GivenDesk
) -> JurisdictionAnswer:
    """Show a place: rulebook in force, site values, amendments, inspections and notes."""
    best_type(request, [JSON])
    try:
        place = desk.place(jurisdiction_id)
    except NotServed as missing:
        raise Rejected("not_found", str(missing)) from None
    choose(place=place)
    return JurisdictionAnswer(
        **_summary(place, desk),
        **{name: getattr(place, name) for name in _AS_THEY_ARE},
        adoptions=tuple(
            AdoptedRulebook(rulebook=one.rulebook, in_force_from=one.from_day) for one in place.adoptions
        ),
        site=_site(place.site),
        settings=tuple(NamedValue(name=name, value=value) for name, value in sorted(place.settings.items())),
        amendments=tuple(_amendment(one) for one in place.amendments),
        permit_exempt=None
        if place.permit_exempt is None
        else PermitExempt(**msgspec.structs.asdict(place.permit_exempt)),
    )


def _summary(place: Jurisdiction, desk: Desk) -> dict[str, Any]:
    return {
        "id": place.id,
        "name": place.name,
        "version": place.version,
        "digest": place.digest,
        "rulebook_in_force": rulebook_in_force(place, desk.today(place)),
        "url": f"/v1/jurisdictions/{place.id}",
    }


def _site(site: SiteValues) -> LocalSite:
    return LocalSite(**msgspec.structs.asdict(site))


def _amendment(amendment: Amendment) -> LocalAmendment:
    only = next(iter(amendment.cells.items())) if len(amendment.cells) == 1 else (None, None)
    return LocalAmendment(
        id=amendment.id,
        title=amendment.title,
        table=amendment.table,
        match=tuple(NamedValue(name=name, value=value) for name, value in sorted(amendment.match.items())),
        change=amendment.change,
        column=only[0],
        value=only[1],
        values=tuple(NamedValue(name=name, value=value) for name, value in amendment.cells.items()),
        citation=amendment.citation.citation,
    )
