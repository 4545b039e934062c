"""The cover: whose job, what verdict, under which rules and for which site; and the values that mattered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.contract.permit_package import Job
from service.contract.report import DesignReport
from service.drawings.package.blocks import (
    AnyBlock,
    Column,
    Section,
    Sheet,
    Statement,
    fact_table,
    listing,
    soft,
    table,
)
from service.drawings.package.review import reason_texts
from service.drawings.package.words import cited, figure, length, number, words
from service.units.text import sentence

SHEETS = (Column("no.", 0.4, "right"), Column("drawing", 3), Column("paper, in", 1.2, "right"))
INPUTS = (Column("value of", 2), Column("value", 1.4), Column("from", 0.9), Column("decides", 2.6))
NOT_AN_APPROVAL = "This is not an approval. The building department decides, under what it has adopted."
MEANING = {
    "prescriptive": "Every member is within the tables and rules that were read.",
    "engineer_required": "Something here is outside the tables and rules, so an engineer has to look at it.",
    "not_permitted": "The rules that were read do not permit this deck as it is drawn.",
}


def cover(report: DesignReport, job: Job | None) -> Section:
    """Return the cover."""
    said = (MEANING[report.verdict.status], *reason_texts(report), NOT_AN_APPROVAL)
    blocks: list[AnyBlock] = [*fact_table("Job", _job(job or Job(), report))]
    blocks.append(Statement(words=words(report.verdict.status).capitalize(), because=said))
    blocks += fact_table("Design", _design(report))
    blocks += fact_table("Site criteria", _site(report))
    blocks += fact_table("Rules", _rules(report))
    return Section(title="Permit package for a deck", blocks=tuple(blocks))


def sheet_list(sheets: Sequence[Sheet]) -> Section:
    """Return the list of drawings."""
    rows = (
        (str(count), one.title, f"{number(one.width_pt / 72)} x {number(one.height_pt / 72)}")
        for count, one in enumerate(sheets, start=1)
    )
    none = () if sheets else listing("", ["There are no drawings in this package."])
    return Section(title="Drawings", blocks=(*table("", SHEETS, rows), *none))


def values_used(report: DesignReport) -> Section:
    """Return the defaults and local values that mattered, and why the deck is held as it is."""
    rows = ((_named(one.pointer), one.value, one.source, one.effect) for one in report.inputs)
    because = (
        f"{words(report.attachment.kind).capitalize()}.",
        *(sentence(one.text) for one in report.attachment.because),
    )
    return Section(
        title="Values used",
        blocks=(*listing("How the deck is held", because), *table("Values that mattered", INPUTS, rows)),
        new_page=True,
    )


def _job(job: Job, report: DesignReport) -> Iterator[tuple[str, str | None]]:
    given = {
        "site": job.site_address,
        "parcel": job.parcel,
        "owner": job.owner,
        "builder": job.builder,
        "builder's licence": job.builder_licence,
        "prepared for": job.prepared_for,
        "reference": report.reference,
        "note": job.note,
    }
    return ((name, text and soft(text)) for name, text in given.items())


def _design(report: DesignReport) -> Iterator[tuple[str, str | None]]:
    yield "design", report.design_id
    yield "prepared with", f"the deck framing service {report.engine_version}"
    yield "rules and prices as of", report.as_of
    yield "levels", "; ".join(_levels(report))
    yield "footings", f"{len(report.footings)}, {_methods(report)}"
    yield "held by", words(report.attachment.kind)


def _levels(report: DesignReport) -> Iterator[str]:
    for level in report.levels:
        high = length(level.clearance.surface_height_in)
        yield f"{level.id}: {number(level.area_sqft, 1)} sq ft, surface {high} above the datum"


def _methods(report: DesignReport) -> str:
    return ", ".join(dict.fromkeys(words(one.method) for one in report.footings)) or "none"


def _site(report: DesignReport) -> Iterator[tuple[str, str | None]]:
    site, loads = report.resolved_spec.site, report.loads
    yield "live load", figure(loads.live_psf, "psf")
    yield "ground snow load", figure(site.ground_snow_load_psf, "psf")
    yield "snow load on the deck", figure(loads.snow_psf, "psf")
    yield "dead load", figure(loads.dead_psf, "psf")
    yield "design load", f"{figure(loads.design_psf, 'psf')}, governed by {loads.governing}"
    yield "frost depth", figure(site.frost_depth_in, "in")
    yield "soil", f"{words(site.soil_class or 'unknown')}, bearing {figure(site.soil_bearing_psf, 'psf')}"
    yield "wind speed", f"{figure(site.wind_speed_mph, 'mph')} (not checked)"
    yield "seismic design category", f"{site.seismic_design_category or 'unknown'} (not checked)"
    yield "salt water", figure(site.salt_water_distance_ft, "ft") + " away"


def _rules(report: DesignReport) -> Iterator[tuple[str, str | None]]:
    place, book, prices = report.jurisdiction, report.rulebook, report.price_book
    yield "code edition", book.edition
    yield "rulebook", f"{book.id}@{book.version}"
    yield "its digest", book.digest
    yield "jurisdiction", "none named" if place is None else f"{place.id}@{place.version}"
    yield "digest of the jurisdiction", None if place is None else place.digest
    yield (
        "amendments",
        "; ".join(f"{one.title}: {cited(one.citation)}" for one in report.amendments) or "none",
    )
    yield "price book", "none named" if prices is None else f"{prices.id}@{prices.version}"
    yield "digest of the price book", None if prices is None else prices.digest


def _named(pointer: str) -> str:
    return words(pointer.removeprefix("/").replace("/", ", "))
