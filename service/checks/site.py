"""What the place, the loads and the spec rule out or leave to an engineer, whatever the frame."""

from __future__ import annotations

from collections.abc import Iterator

from service.checks.judged import Judged, caution, reason
from service.contract.report import Caution, Loads, Reason
from service.contract.spec import DeckSpec, SiteSpec
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.sizing.resolve import UNKNOWN_SOIL_PSF, local_bearing, presumptive_psf
from service.units.citation import Citation, from_memory

SALT_CAUTION_FT = 3000.0
FAST_WIND_MPH = 115.0  # from memory: the upper wind speed the prescriptive deck guidance was drawn up for
TABLES_DEAD_PSF = 10.0


def loads_of(criteria: Criteria) -> Loads:
    """Return the design loads; live and snow are never added."""
    return Loads(
        live_psf=criteria.live_psf,
        dead_psf=criteria.dead_psf,
        snow_psf=criteria.snow_psf,
        governing="snow" if criteria.snow_psf > criteria.live_psf else "live",
        design_psf=criteria.design_psf,
    )


def _load_reasons(spec: DeckSpec, criteria: Criteria) -> Iterator[Reason]:
    table = criteria.rulebook.tables["joist_spans"]
    columns = table.printed_values("load_psf")
    cited = Citation(table.document, criteria.rulebook.edition, table.section, status="two_sources")
    if criteria.live_psf > columns[0]:
        live = criteria.rulebook.limit("deck_live_load")
        yield reason(
            "live_load_above_tables",
            f"Live load {criteria.live_psf:g} psf: the deck tables stop at {columns[0]:g}.",
            citation=live.citation if live.amended and live.value == criteria.live_psf else cited,
        )
    if criteria.snow_psf > columns[-1]:
        yield reason(
            "snow_above_tables",
            f"Ground snow {criteria.snow_psf:g} psf: the deck tables of {criteria.rulebook.id} "
            f"stop at {columns[-1]:g}.",
            citation=criteria.law_of("ground_snow_load_psf", criteria.snow_psf) or cited,
        )
    if criteria.dead_psf > TABLES_DEAD_PSF:
        yield reason(
            "dead_load_above_tables",
            f"Dead load {criteria.dead_psf:g} psf: the tables assume 10.",
            None,
            cited,
        )
    if spec.site.roof_above_eave:
        text = "A roof above can drop or drift snow on the deck: no table covers it."
        yield reason("roof_or_drift_load", text, None, cited)


def _material_reasons(spec: DeckSpec, criteria: Criteria) -> Iterator[Reason]:
    named = criteria.rulebook.in_force_settings.names_sections_of(spec.price_book)
    if spec.framing.material != "sawn_lumber" and not named:
        yield reason(
            "material_not_in_rulebook", f"No table of {criteria.rulebook.id} covers {spec.framing.material}."
        )
    if not criteria.species_group:
        yield reason(
            "material_not_in_rulebook", f"No deck table of {criteria.rulebook.id} covers {criteria.species}."
        )


def _wind_and_seismic(spec: DeckSpec, criteria: Criteria) -> Iterator[Reason]:
    wind, seismic = spec.site.wind_speed_mph, spec.site.seismic_design_category
    if wind is not None and wind > FAST_WIND_MPH:
        yield reason(
            "wind_or_seismic_beyond_range",
            f"Wind {wind:g} mph is over {FAST_WIND_MPH:g} mph (a remembered limit): uplift is not checked here.",
            citation=criteria.law_of("wind_speed_mph", wind),
        )
    if seismic == "E":
        yield reason(
            "wind_or_seismic_beyond_range",
            "Seismic design category E: outside prescriptive design.",
            citation=criteria.law_of("seismic_design_category", seismic),
        )


def _soil_reasons(spec: DeckSpec, criteria: Criteria) -> Iterator[Reason]:
    cited = _law_of_soil(spec, criteria) or Citation("IRC Table R401.4.1", status="two_sources")
    if spec.site.soil_class == "organic_or_fill":
        drawn = spec.site.soil_bearing_psf or UNKNOWN_SOIL_PSF
        text = f"Fill, mud and peat have no bearing value until tested; {drawn:g} psf is used only to show a size."
        yield reason("soil_needs_engineer", text, None, cited)
    elif (spec.site.soil_bearing_psf or 0) < 1500:
        yield reason("soil_needs_engineer", "Soil under 1500 psf: a soil investigation decides.", None, cited)


def _law_of_soil(spec: DeckSpec, criteria: Criteria) -> Citation | None:
    """The amendment that the bearing used comes from."""
    if criteria.jurisdiction is None:
        return None
    local, law = local_bearing(criteria.rulebook, criteria.jurisdiction, spec.site.soil_class)
    return law if local == spec.site.soil_bearing_psf else None


def _expansive(spec: DeckSpec) -> Iterator[Reason]:
    if spec.site.expansive_soil:
        text = (
            "The soil swells and shrinks with water: R403.1.8 sends its footings to IBC 1808.6 (from memory), an "
            "engineer's with every method; piles that bear below the depth that swells are usual."
        )
        yield reason("expansive_soil", text, None, from_memory("IRC", "R403.1.8"))


def heavy_reasons(spec: DeckSpec) -> Iterator[Reason]:
    """Yield what heavy objects mean where no frame is found that could carry them."""
    for number, thing in enumerate(spec.heavy_objects, start=1):
        yield reason(
            "heavy_object",
            f"{thing.kind.replace('_', ' ').capitalize()} of {thing.filled_weight_lb:g} lb needs its own beams, posts "
            "and footings: an engineer's.",
            f"deck.heavy-{number}",
        )


SAID = {
    "frost_depth_in": "frost depth",
    "ground_snow_load_psf": "ground snow load",
    "wind_speed_mph": "wind speed",
    "soil_bearing_psf": "soil bearing",
    "salt_water_distance_ft": "distance to salt water",
    "seismic_design_category": "seismic design category",
}
SEISMIC = ("A", "B", "C", "D0", "D1", "D2", "E")


def _less_safe(
    site: SiteSpec, place: Jurisdiction, rulebook: Rulebook
) -> Iterator[tuple[str, object, object, str]]:
    """The site values given that are less safe than the place's own: name, given, local, unit."""
    local = place.site
    at_least: list[tuple[str, float | None, float | None, str]] = [
        ("frost depth", site.frost_depth_in, local.frost_depth_in, "in"),
        ("ground snow load", site.ground_snow_load_psf, local.ground_snow_load_psf, "psf"),
        ("wind speed", site.wind_speed_mph, local.wind_speed_mph, "mph"),
        ("live load", site.live_load_psf, rulebook.limit("deck_live_load").value, "psf"),
    ]
    at_most: list[tuple[str, float | None, float | None, str]] = [
        ("soil bearing", site.soil_bearing_psf, local_bearing(rulebook, place, site.soil_class)[0], "psf"),
        ("distance to salt water", site.salt_water_distance_ft, local.salt_water_distance_ft, "ft"),
    ]
    yield from (row for row in at_least if row[1] is not None and row[2] is not None and row[1] < row[2])
    yield from (row for row in at_most if row[1] is not None and row[2] is not None and row[1] > row[2])
    given = site.seismic_design_category
    if given is not None and SEISMIC.index(given) < SEISMIC.index(local.seismic_design_category):
        yield ("seismic design category", given, local.seismic_design_category, "")


def _below_jurisdiction(spec: DeckSpec, criteria: Criteria) -> Iterator[Reason]:
    place = criteria.jurisdiction
    if place is None:
        return
    stated = Citation(place.citation_document, section="site values", status="one_source")
    for name, given, local, unit in _less_safe(spec.site, place, criteria.rulebook):
        cited = _local_law(name, spec.site, place, criteria.rulebook) or stated
        text = f"The {name} used, {_plain(given)} {unit}".rstrip()
        text += f", is less safe than {place.name}'s {_plain(local)} {unit}".rstrip()
        yield reason("site_value_below_jurisdiction", f"{text}.", None, cited)


def _local_law(name: str, site: SiteSpec, place: Jurisdiction, rulebook: Rulebook) -> Citation | None:
    """The amendment that a value of the place comes from."""
    if name == "soil bearing":
        return local_bearing(rulebook, place, site.soil_class)[1]
    live = rulebook.limit("deck_live_load")
    if name == "live load":
        return live.citation if live.amended else None
    return next((law for field, said in SAID.items() if said == name and (law := place.law_of(field))), None)


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def not_in_force(rulebook: Rulebook) -> Iterator[Reason]:
    """Yield why a version is not one to design by on its day; nothing where it is in force."""
    for version in rulebook.out_of_force:
        yield reason("rulebook_not_in_force", f"{version} is not in force on that day.")


def _rules_reasons(rulebook: Rulebook, place: Jurisdiction | None, in_force: str | None) -> Iterator[Reason]:
    if in_force is not None and in_force != rulebook.id:
        yield reason(
            "rulebook_not_in_force", f"{rulebook.id} is not in force there on that day; {in_force} is."
        )
    yield from not_in_force(rulebook)
    laws = {one.id: one.citation.citation for one in place.amendments} if place else {}
    for amendment in rulebook.unapplied:
        text = f"The local amendment {amendment} does not fit {rulebook.id}."
        yield reason("rulebook_not_in_force", text, citation=laws.get(amendment))


def _site_cautions(spec: DeckSpec, criteria: Criteria) -> Iterator[Caution]:
    presumptive = presumptive_psf(criteria.rulebook, spec.site.soil_class)
    bearing = spec.site.soil_bearing_psf
    if criteria.jurisdiction is None and bearing and presumptive and bearing > presumptive:
        yield caution(
            "soil_value_from_caller",
            f"Soil bearing {bearing:g} psf is over the presumptive {presumptive:g} psf of its class.",
            "Have the building department accept the soil value before digging.",
        )
    if (spec.site.salt_water_distance_ft or 1e9) <= SALT_CAUTION_FT:
        yield caution(
            "corrosion_near_salt",
            "Salt water is near: zinc does not last there.",
            "Use stainless fasteners and connectors within 300 ft of salt water, and ask about more.",
        )
    if any(thing.kind == "hot_tub" for thing in spec.heavy_objects):
        yield caution(
            "hot_tub_electrical",
            "A tub needs its own circuit, a disconnect in sight and clearances to receptacles.",
            "Get an electrical permit and a licensed electrician.",
        )
    if criteria.jurisdiction is None:
        yield caution(
            "no_jurisdiction",
            "No jurisdiction was named: local amendments, frost and snow were not looked up.",
            "Ask the building department for its edition, frost depth, snow load and amendments.",
        )


def judge_site(spec: DeckSpec, criteria: Criteria, in_force: str | None) -> Judged:
    """Return what place, loads, soil and material mean for the verdict.

    ``in_force`` is the rulebook in force in the jurisdiction on the day asked for, or None.
    """
    reasons = (
        *_rules_reasons(criteria.rulebook, criteria.jurisdiction, in_force),
        *_load_reasons(spec, criteria),
        *_material_reasons(spec, criteria),
        *_wind_and_seismic(spec, criteria),
        *_soil_reasons(spec, criteria),
        *_expansive(spec),
        *_below_jurisdiction(spec, criteria),
    )
    return Judged((), reasons, tuple(_site_cautions(spec, criteria)))
