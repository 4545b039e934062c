"""A place's amendment of presumptive bearing holds beside its own value: the lesser of both is the most that counts."""

from __future__ import annotations

import math

import pytest
from context import context, designed, spec_of
from overlays import LAW, block, context_of, place_of

from service.contract.report import DesignReport

OWN_PSF = 2000.0  # of the borough itself, whose soil is sand


def row(psf: float, soil: str = "sand") -> str:
    return block("soft", "loads_and_soil", f'key = "bearing_{soil}"', f"value = {psf}")


def report(*amendments: str, **site: object) -> DesignReport:
    spec = spec_of(
        jurisdiction="fellmarch-borough",
        site=site,
        levels=[{"width_ft": 14, "projection_ft": 10, "surface_height_in": 28}],
    )
    return designed(spec, context_of(place_of(*amendments)))


def source(found: DesignReport) -> str:
    return next(one.source for one in found.inputs if one.pointer == "/site/soil_bearing_psf")


@pytest.mark.parametrize(
    ("psf", "used", "said"), [(1500, 1500, "amendment"), (2500, OWN_PSF, "jurisdiction")]
)
def test_the_lesser_of_the_place_and_its_amended_row_is_used(psf: float, used: float, said: str) -> None:
    found = report(row(psf))
    assert found.resolved_spec.site.soil_bearing_psf == used
    assert source(found) == said
    assert found.verdict.status == "prescriptive", found.verdict.reasons


def test_footings_are_larger_by_the_amended_row() -> None:
    """No round base presses on the ground with more than the 1,500 psf; by the place's own value some do."""

    def pressure_psf(found: DesignReport) -> float:
        return max(one.load_lb / (math.pi / 4 * (one.width_in / 12) ** 2) for one in found.footings)

    assert pressure_psf(report(row(1500))) <= 1500 < pressure_psf(report())


def test_a_row_that_is_not_amended_changes_nothing() -> None:
    assert report().resolved_spec.site.soil_bearing_psf == OWN_PSF
    alder = spec_of(
        jurisdiction="alder-county", levels=[{"width_ft": 14, "projection_ft": 10, "surface_height_in": 28}]
    )
    where = context("alder-county")
    used = designed(alder, where).resolved_spec.site.soil_bearing_psf
    assert used == where.jurisdiction.site.soil_bearing_psf


@pytest.mark.parametrize(
    "site", [{"soil_bearing_psf": 2000}, {"soil_class": "sand", "soil_bearing_psf": 2000}]
)
def test_a_callers_value_above_the_amended_row_is_less_safe_than_the_place(site) -> None:
    found = report(row(1500), **site)
    (reason,) = [one for one in found.verdict.reasons if one.code == "site_value_below_jurisdiction"]
    assert "soil bearing used, 2000 psf" in reason.text
    assert "1500 psf" in reason.text
    assert (reason.citation.document, reason.citation.section) == (LAW, "soft")
    assert found.verdict.status == "engineer_required"


def test_soil_amended_below_the_least_of_the_code_cites_the_amendment() -> None:
    found = report(row(1200))
    assert found.resolved_spec.site.soil_bearing_psf == 1200
    (reason,) = [one for one in found.verdict.reasons if one.code == "soil_needs_engineer" and one.citation
                 and one.citation.document == LAW]  # fmt: skip
    assert reason.citation.section == "soft"
