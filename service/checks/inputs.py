"""Defaults and local values that mattered, found from the resolved spec alone so that they repeat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from service.contract.report import InputUsed
from service.contract.spec import DeckSpec
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook
from service.rules.settings import Settings

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
    ("calculated_engineer_ratio", "when a calculation asks for an engineer though the table permits"),
)


def _input(pointer: str, value: object, source: Source, effect: str) -> InputUsed:
    shown = f"{value:g}" if isinstance(value, float) else str(value)
    return InputUsed(pointer=pointer, value=shown, source=source, effect=effect)


def _site(spec: DeckSpec, place: Jurisdiction | None) -> Iterator[InputUsed]:
    for field, effect in SITE_FIELDS:
        value = getattr(spec.site, field)
        local = getattr(place.site, field) if place else None
        if value is None:
            continue
        source: Source = "jurisdiction" if place is not None and value == local else "caller"
        if place is None and field in ("soil_class", "soil_bearing_psf", "salt_water_distance_ft"):
            source = "default"
        yield _input(f"/site/{field}", value, source, effect)


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
    if level.decking.max_span_in is None and level.decking.material != "wood":
        yield _input("/levels/0/decking/max_span_in", "none", "default", "joist spacing under the boards")


def _settings(rulebook: Rulebook, place: Jurisdiction | None) -> Iterator[InputUsed]:
    settings: Settings = rulebook.in_force_settings
    for key, effect in SETTINGS:
        source: Source = "jurisdiction" if place is not None and key in place.settings else "rulebook"
        yield _input(f"/settings/{key}", getattr(settings, key), source, effect)


def inputs_of(spec: DeckSpec, rulebook: Rulebook, place: Jurisdiction | None) -> tuple[InputUsed, ...]:
    """Return the values that mattered and were not plainly the caller's choice."""
    return (*_site(spec, place), _live(spec, rulebook), *_assumed(spec), *_settings(rulebook, place))
