"""From a spec and the rules in force to what the deck is judged by, every default filled in."""

from __future__ import annotations

import datetime as dt

import msgspec

from service.contract.plan import house_edges
from service.contract.spec import DeckSpec, SiteSpec
from service.rules.jurisdiction import Jurisdiction
from service.rules.lookups import at_or_above
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria, Ground
from service.timber.values import TimberData
from service.units.citation import Citation

UNKNOWN_SOIL_PSF = (
    1500.0  # IRC Table R401.4.1: the least presumptive value; below it a soil investigation decides
)
FAR_FROM_SALT_FT = 10_000_000.0


def presumptive_psf(rulebook: Rulebook, soil_class: str) -> float | None:
    """Return the presumptive bearing of a soil class, psf; None for fill, mud and peat.

    Source: IRC Table R401.4.1.

    Args:
        rulebook: the rulebook in force.
        soil_class: a class of the request vocabulary.
    """
    if soil_class == "organic_or_fill":
        return None
    if soil_class == "unknown":
        return UNKNOWN_SOIL_PSF
    return rulebook.limit(f"bearing_{soil_class}").value


def local_bearing(rulebook: Rulebook, place: Jurisdiction, soil_class: str) -> tuple[float, Citation | None]:
    """Return the most the soil bears by a place's law, psf, with the amendment that says so; null where none does.

    It is the least of the place's own value and, where they are amended, the presumptive values of its soil and of
    the soil given.

    Source: the jurisdiction and its amendments of IRC Table R401.4.1.

    Args:
        rulebook: the rulebook in force, amended for the place.
        place: the jurisdiction.
        soil_class: a class of the request vocabulary.
    """
    found = [(place.site.soil_bearing_psf, place.law_of("soil_bearing_psf"))]
    for one in (place.site.soil_class, soil_class):
        reading = rulebook.limit(f"bearing_{one}")
        if reading.amended and reading.value is not None:
            found.append((reading.value, reading.citation))
    return min(found, key=lambda pair: pair[0])


def _soil(site: SiteSpec, rulebook: Rulebook, place: Jurisdiction | None) -> tuple[str, float | None]:
    if site.soil_class == "unknown" and place is not None:
        soil_class = place.site.soil_class
        return soil_class, site.soil_bearing_psf or local_bearing(rulebook, place, soil_class)[0]
    return site.soil_class, site.soil_bearing_psf or presumptive_psf(rulebook, site.soil_class)


def _resolved_site(site: SiteSpec, rulebook: Rulebook, place: Jurisdiction | None) -> SiteSpec:
    local = place.site if place else None
    soil_class, bearing = _soil(site, rulebook, place)

    def fill(given: float | None, local_value: float | None, otherwise: float | None) -> float | None:
        return given if given is not None else local_value if local_value is not None else otherwise

    return msgspec.structs.replace(
        site,
        live_load_psf=fill(site.live_load_psf, rulebook.limit("deck_live_load").value, None),
        ground_snow_load_psf=fill(
            site.ground_snow_load_psf, local.ground_snow_load_psf if local else None, None
        ),
        frost_depth_in=fill(site.frost_depth_in, local.frost_depth_in if local else None, None),
        wind_speed_mph=fill(site.wind_speed_mph, local.wind_speed_mph if local else None, None),
        seismic_design_category=site.seismic_design_category
        or (local.seismic_design_category if local else None),
        salt_water_distance_ft=fill(
            site.salt_water_distance_ft, local.salt_water_distance_ft if local else None, FAR_FROM_SALT_FT
        ),
        soil_class=soil_class,
        soil_bearing_psf=bearing,
    )


def resolve_spec(
    spec: DeckSpec, rulebook: Rulebook, place: Jurisdiction | None, price_book: str | None, as_of: dt.date
) -> DeckSpec:
    """Return the spec with every default and local value filled in and every version pinned.

    Posting the result back gives the same design on any later day. Lengths in in and ft, loads in psf.

    Source: the caller, else the jurisdiction, else the rulebook.

    Args:
        spec: as sent.
        rulebook: the rulebook in force, amended for the place.
        place: the jurisdiction, or None.
        price_book: the pinned price book, as "brindlemoor-yard@1", or None.
        as_of: the day whose rules apply.
    """
    levels = tuple(
        msgspec.structs.replace(level, house_edges=house_edges(level, spec.house.wall))
        if level.house_edges is None
        else level
        for level in spec.levels
    )
    return msgspec.structs.replace(
        spec,
        jurisdiction=f"{place.id}@{place.version}" if place else None,
        rulebook=f"{rulebook.id}@{rulebook.version}",
        price_book=price_book,
        as_of=as_of,
        site=_resolved_site(spec.site, rulebook, place),
        levels=levels,
    )


def _table_load(rulebook: Rulebook, live_psf: float, snow_psf: float) -> int | None:
    """The load column that covers the site: 40 live, or the next ground snow column up."""
    columns = rulebook.tables["joist_spans"].printed_values("load_psf")
    tables_live_psf = columns[0]
    if live_psf > tables_live_psf:
        return None
    column = at_or_above(columns, max(snow_psf, tables_live_psf))
    return None if column is None else int(column)


def _coating(rulebook: Rulebook, salt_water_ft: float) -> str:
    within = rulebook.limit("stainless_within_salt_water").value
    return "stainless_steel" if within is not None and salt_water_ft <= within else "hot_dip_galvanized"


def _ground(spec: DeckSpec) -> Ground:
    site, house = spec.site, spec.house
    return Ground(
        frost_depth_in=site.frost_depth_in or 0.0,
        soil_class=site.soil_class,
        soil_bearing_psf=site.soil_bearing_psf or UNKNOWN_SOIL_PSF,
        water_table_depth_in=site.water_table_depth_in,
        rock_depth_in=site.rock_depth_in,
        rig_access_width_in=site.rig_access_width_in,
        foundation_depth_in=house.foundation_depth_in,
        excavation_slope=house.excavation_slope,
        house_present={house.wall, *(other.wall for other in house.edge_walls)} != {"none"},
        expansive_soil=site.expansive_soil,
        backfill_age_years=house.backfill_age_years,
    )


def criteria_of(
    resolved: DeckSpec,
    rulebook: Rulebook,
    guide: Rulebook,
    place: Jurisdiction | None,
    timber: TimberData | None = None,
) -> Criteria:
    """Return what a resolved spec is judged by, loads in psf.

    Source: the resolved spec; live and dead load and load columns of the rulebook.

    Args:
        resolved: a spec from `resolve_spec`.
        rulebook: the rulebook in force, amended for the place.
        guide: the guide beyond the code (DCA 6).
        place: the jurisdiction, or None.
        timber: design values for calculations.
    """
    live = resolved.site.live_load_psf or 0.0
    snow = resolved.site.ground_snow_load_psf or 0.0
    species = resolved.framing.species
    return Criteria(
        rulebook=rulebook,
        guide=guide,
        jurisdiction=place,
        live_psf=live,
        dead_psf=rulebook.in_force_settings.dead_load_psf,
        snow_psf=snow,
        table_load_psf=_table_load(rulebook, live, snow),
        species=species,
        species_group=rulebook.tables["joist_spans"].species_group(species) or "",
        grade=resolved.framing.grade,
        coating=_coating(rulebook, resolved.site.salt_water_distance_ft or 0.0),
        ground=_ground(resolved),
        timber=timber,
    )
