"""More load never asks for less, and a wider deck never has fewer joists."""

from __future__ import annotations

import hashlib
import itertools
import subprocess
import sys
from collections.abc import Callable
from os import pathsep
from pathlib import Path
from typing import Any

import msgspec
import pytest
from context import context, criteria, designed, spec_of
from deck_bytes import DECKS
from deck_strategy import SIZES, SPECIES, framed_decks
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.contract.report import DesignReport
from service.contract.report_comparison import CodedText
from service.framing.joist_lines import joist_centres
from service.sizing.allowed import (
    Allowed,
    allowed_beam_span,
    allowed_cantilever,
    allowed_joist_span,
    allowed_post_height,
)
from service.sizing.criteria import Criteria
from service.sizing.footings import footing_size

FEW = settings(
    derandomize=True, max_examples=25, deadline=None, database=None, suppress_health_check=list(HealthCheck)
)
MANY = settings(derandomize=True, max_examples=150, deadline=None, database=None)
# One table column against the next: by calculation a load may be read more kindly than a table prints it.
SNOWS = (0.0, 45.0, 55.0, 70.0)
EDITIONS_BY_SNOW = ("2021", "2024")


def _report(deck: dict[str, Any], snow_psf: float) -> DesignReport:
    loaded = {**deck, "site": {**deck["site"], "ground_snow_load_psf": snow_psf}}
    return designed(spec_of(**loaded), context(None, deck["rulebook"], priced=False))


READINGS: dict[str, Callable[[Criteria, str], Allowed]] = {
    "joist_span": lambda by, size: allowed_joist_span(by, size, 16.0, 0.0),
    "joist_cantilever": lambda by, size: allowed_cantilever(by, size, 16.0, 124.0),
    "beam_span": lambda by, size: allowed_beam_span(by, size, 2, 11.3, 1.4),
    "post_height": lambda by, size: allowed_post_height(by, "6x6" if size > "2x2" else "4x4", 2, 71.0),
}


@pytest.mark.parametrize("reading", READINGS)
@MANY
@given(
    edition=st.sampled_from(EDITIONS_BY_SNOW), species=st.sampled_from(SPECIES), size=st.sampled_from(SIZES),
    snows=st.tuples(st.sampled_from(SNOWS), st.sampled_from(SNOWS)).map(sorted),
)  # fmt: skip
def test_more_snow_never_allows_more(
    reading: str, edition: str, species: str, size: str, snows: list[float]
) -> None:
    less, more = (READINGS[reading](criteria(edition, snow, species), size).value_in or 0 for snow in snows)
    assert more <= less


@MANY
@given(
    edition=st.sampled_from(("2015", "2018", "2021", "2024")), soil=st.sampled_from((1500, 2000, 2600, 3000)),
    area=st.floats(10, 158), grown=st.floats(0, 40), snows=st.tuples(st.sampled_from(SNOWS), st.sampled_from(SNOWS)),
)  # fmt: skip
def test_more_load_never_asks_for_a_smaller_footing(
    edition: str, soil: int, area: float, grown: float, snows: tuple[float, float]
) -> None:
    less, more = (criteria(edition, snow, soil_bearing_psf=soil) for snow in sorted(snows))
    small = footing_size(less, area * less.design_psf, 35.0)
    large = footing_size(more, min(area + grown, 160) * more.design_psf, 35.0)
    assert not isinstance(small, CodedText)
    assert not isinstance(large, CodedText)
    assert large.square_in >= small.square_in
    # The rows printed out of family break the order of the table itself.
    if "table_row_suspect" not in {said.code for said in small.cautions}:
        assert large.round_in >= small.round_in
        assert large.thickness_in >= small.thickness_in


@FEW
@given(deck=framed_decks(), snow=st.sampled_from((45, 60, 70)))
def test_more_snow_never_lowers_a_ratio_of_the_same_frame(deck: dict[str, Any], snow: float) -> None:
    bare, snowy = _report(deck, 0), _report(deck, snow)
    if bare.levels[0].beams and _same_frame(bare, snowy):
        before = {check.id: check.ratio or 0 for check in bare.checks}
        for check in snowy.checks:
            # A pier of two loads is a pier of two diameters; only members of the same size are compared.
            if check.id in before and check.check in (
                "joist_span",
                "joist_cantilever",
                "beam_span",
                "post_height",
            ):
                assert (check.ratio or 9) >= before[check.id] - 0.001, check.id
    for one, other in zip(bare.posts, snowy.posts, strict=False):
        if _same_frame(bare, snowy):
            assert other.load_lb > one.load_lb


def _same_frame(one: DesignReport, other: DesignReport) -> bool:
    return [b.supports_ft for b in one.levels[0].beams] == [
        b.supports_ft for b in other.levels[0].beams
    ] and [b.start_ft for b in one.levels[0].beams] == [b.start_ft for b in other.levels[0].beams]


@FEW
@given(deck=framed_decks(), snow=st.sampled_from((45, 60, 70)))
def test_more_snow_never_needs_fewer_footings_of_less_concrete(deck: dict[str, Any], snow: float) -> None:
    bare, snowy = _report(deck, 0), _report(deck, snow)
    if snowy.verdict.status == "not_permitted" or not bare.footings:
        return
    assert sum(f.load_lb for f in snowy.footings) > sum(f.load_lb for f in bare.footings)
    if _same_frame(bare, snowy):
        for one, other in zip(bare.footings, snowy.footings, strict=True):
            if one.concrete and other.concrete and one.method == other.method:
                assert (other.concrete.shaft_diameter_in or 0) >= (one.concrete.shaft_diameter_in or 0)


@MANY
@given(
    width=st.integers(24, 1200), more=st.integers(0, 200), spacing=st.sampled_from((12.0, 16.0, 19.2, 24.0))
)
def test_wider_never_fewer_joists(width: int, more: int, spacing: float) -> None:
    narrow, wide = joist_centres(float(width), spacing), joist_centres(float(width + more), spacing)
    assert len(wide) >= len(narrow)
    assert max(b - a for a, b in itertools.pairwise(wide)) <= spacing + 1e-9


@FEW
@given(deck=framed_decks(), more_in=st.integers(1, 96))
def test_a_wider_deck_never_has_fewer_joists_or_less_lumber(deck: dict[str, Any], more_in: int) -> None:
    level = deck["levels"][0]
    wider = {**deck, "levels": [{**level, "width_ft": level["width_ft"] + more_in / 12}]}
    narrow, wide = _report(deck, 0), _report(wider, 0)
    assert wide.levels[0].joists[0].count >= narrow.levels[0].joists[0].count
    assert sum(f.load_lb for f in wide.footings) > sum(f.load_lb for f in narrow.footings)


DIGEST = """
import hashlib, msgspec
from context import context, designed, spec_of
from deck_bytes import DECKS
for deck in DECKS:
    text = msgspec.json.encode(designed(spec_of(**deck), context("alder-county")))
    print(hashlib.sha256(text).hexdigest())
"""


def test_same_spec_same_bytes_in_other_processes() -> None:
    root = Path(__file__).parents[2]
    found = set()
    for hash_seed in ("0", "1", "4711"):
        told = {
            "PYTHONHASHSEED": hash_seed,
            "PYTHONPATH": pathsep.join((str(root), str(root / "tests"))),
        }
        ran = subprocess.run(
            [sys.executable, "-c", DIGEST], capture_output=True, text=True, env=told, check=True
        )
        found.add(ran.stdout)
    answers = [msgspec.json.encode(designed(spec_of(**deck), context("alder-county"))) for deck in DECKS]
    ours = [hashlib.sha256(answer).hexdigest() for answer in answers]
    assert found == {"".join(f"{one}\n" for one in ours)}


@pytest.mark.parametrize("species", ["hem_fir"])
@pytest.mark.parametrize("projection_in", range(93, 200, 7))
def test_nothing_pinned_nothing_fails(projection_in: int, species: str) -> None:
    """Where sizes are the service's own choice, it never chooses a member over its limit."""
    deck = spec_of(
        site={"frost_depth_in": 24, "ground_snow_load_psf": 0, "soil_class": "clay"},
        house={"wall": "none"},
        levels=[{"width_ft": 14, "projection_ft": projection_in / 12, "surface_height_in": 40}],
        framing={"species": species},
    )
    report = designed(deck, context(None, "irc-2018"))
    judged = [check for check in report.checks if check.basis != "calculated"]
    assert [check.id for check in judged if not check.passes] == []
