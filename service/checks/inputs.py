"""Defaults and local values that mattered, found from the resolved spec alone so that they repeat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from service.contract.report import InputUsed
from service.contract.spec import DeckSpec
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook
from service.rules.settings import Settings
from service.sizing.resolve import FAR_FROM_SALT_FT, local_bearing, presumptive_psf

Source = Literal["caller", "amendment", "jurisdiction", "rulebook", "default"]
SITE_FIELDS = (
    ("frost_depth_in", "depth of footings"),
    ("ground_snow_load_psf", "load column of the tables"),
    ("soil_class", "bearing of the soil"),
    ("soil_bearing_psf", "size of footings"),
    ("wind_speed_mph", "not checked; beyond the prescriptive range an engineer is asked for"),
    ("seismic_design_category", "not checked; beyond the prescriptive range an engineer is asked for"),
    ("salt_water_distance_ft", "coating of fasteners and connectors"),
)
SETTINGS = (
    ("own_weight_rule", "whether a footing's own concrete counts"),
    ("accept_tributary_interior_beams", "beams with joists on both sides"),
    ("freestanding_footings_to_frost", "depth of footings of a free-standing deck"),
    ("freestanding_post_limit_in", "height of posts of a free-standing deck"),
    ("nominal_lateral_ratio", "braces, and posts of a free-standing deck bent sideways"),
    ("section_tables_named", "whether veneer lumber and light-gauge steel ask for an engineer"),
    ("calculated_engineer_ratio", "when a calculation asks for an engineer though the table permits"),
)


def _input(pointer: str, value: object, source: Source, effect: str) -> InputUsed:
    shown = ("yes" if value else "no") if isinstance(value, bool) else _figure(value)
    return InputUsed(pointer=pointer, value=shown, source=source, effect=effect)


def _figure(value: object) -> str:
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else f"{value:.6g}"
    return str(value)


def _site(spec: DeckSpec, rulebook: Rulebook, place: Jurisdiction | None) -> Iterator[InputUsed]:
    for field, effect in SITE_FIELDS:
        value = getattr(spec.site, field)
        local = getattr(place.site, field) if place else None
        if value is None:
            continue
        source: Source = "caller"
        if place is not None and field == "soil_bearing_psf" and _soil_amended(spec, rulebook, place):
            source = "amendment"
        elif place is not None and value == local:
            source = "amendment" if place.law_of(field) else "jurisdiction"
        elif value == _default(spec, rulebook, field):
            source = "rulebook" if field == "soil_bearing_psf" else "default"
        yield _input(f"/site/{field}", value, source, effect)


def _soil_amended(spec: DeckSpec, rulebook: Rulebook, place: Jurisdiction) -> bool:
    """Whether the soil bearing used is that of an amendment."""
    bearing, law = local_bearing(rulebook, place, spec.site.soil_class)
    return law is not None and bearing == spec.site.soil_bearing_psf


def _default(spec: DeckSpec, rulebook: Rulebook, field: str) -> object:
    defaults: dict[str, object] = {
        "soil_class": "unknown",
        "soil_bearing_psf": presumptive_psf(rulebook, spec.site.soil_class),
        "salt_water_distance_ft": FAR_FROM_SALT_FT,
    }
    return defaults.get(field)


HOUSE_FIELDS = (
    ("floor_build_up_in", 1.5, "where the band stands under the door sill"),
    ("sill_plate_in", 1.5, "where the foundation begins under the band"),
    ("sheathing_thickness_in", 0.5, "which ledger fasteners the table covers"),
    ("required_exit_door", True, "the step allowed at the door"),
    ("door_swings_out", True, "the step allowed at the door"),
)


def _house(spec: DeckSpec) -> Iterator[InputUsed]:
    """Defaults of the house that decide a ledger or the door, where a wall and a sill are known."""
    if spec.house.wall in ("none", "unknown") or spec.house.door_sill_height_in is None:
        return
    for field, default, effect in HOUSE_FIELDS:
        if getattr(spec.house, field) == default:
            yield _input(f"/house/{field}", default, "default", effect)


def _live(spec: DeckSpec, rulebook: Rulebook) -> InputUsed:
    reading = rulebook.limit("deck_live_load")
    given = spec.site.live_load_psf
    source: Source = "caller" if given != reading.value else "amendment" if reading.amended else "rulebook"
    return _input("/site/live_load_psf", given, source, "load on the deck")


def _assumed(spec: DeckSpec) -> Iterator[InputUsed]:
    house, level = spec.house, spec.levels[0]
    if house.wall == "unknown":
        yield _input("/house/wall", "unknown", "default", "no ledger can be proven: the deck stands free")
    if house.excavation_slope == "type_c" and house.foundation_depth_in is not None:
        yield _input("/house/excavation_slope", "type_c", "default", "width of the backfill beside the house")
    if spec.site.expansive_soil is None and spec.site.soil_class == "clay":
        yield _input("/site/expansive_soil", "not known", "default", "whether footings are an engineer's")
    if level.decking.max_span_in is None and level.decking.material != "wood":
        yield _input("/levels/0/decking/max_span_in", "none", "default", "joist spacing under the boards")


def _source_of_setting(place: Jurisdiction | None, key: str) -> Source:
    if place is not None and any(one.table == "settings" and one.key == key for one in place.amendments):
        return "amendment"
    return "jurisdiction" if place is not None and key in place.settings else "rulebook"


def _settings(rulebook: Rulebook, place: Jurisdiction | None) -> Iterator[InputUsed]:
    settings: Settings = rulebook.in_force_settings
    for key, effect in SETTINGS:
        source = _source_of_setting(place, key)
        value = getattr(settings, key)
        if value != "":  # nothing named is nothing that mattered
            yield _input(f"/settings/{key}", value, source, effect)


def inputs_of(spec: DeckSpec, rulebook: Rulebook, place: Jurisdiction | None) -> tuple[InputUsed, ...]:
    """Return the values that mattered and were not plainly the caller's choice."""
    return (
        *_site(spec, rulebook, place),
        _live(spec, rulebook),
        *_house(spec),
        *_assumed(spec),
        *_settings(rulebook, place),
    )
