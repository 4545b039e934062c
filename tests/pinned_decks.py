"""Decks pinned down so far that one table cell must decide them.

A flush beam at the rim leaves the search no cantilever to choose: the joist span follows from the projection, the
beam span and the load on its posts from the width.
"""

from __future__ import annotations

from typing import Any

from context import NOWHERE, context, designed, spec_of

from service.contract.report import DesignReport
from service.contract.spec import DeckSpec
from service.units.finding import Finding

LEDGER_IN, PIER_TOP_IN, THICK_BOARD_IN = 1.5, 3.0, 1.5
DEPTH_IN = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
LOW_SURFACE_IN = 30.0  # not over 30 in: no guard, so that 2x6 joists may carry it


def flush_deck(
    span_in: float,
    width_in: float = 120.0,
    load_psf: float = 40,
    species: str = "southern_pine",
    joist: tuple[str, float] = ("2x12", 12.0),
    beam: tuple[int, str] = (3, "2x12"),
    post: str = "6x6",
    surface_in: float = LOW_SURFACE_IN,
    house: dict[str, Any] | None = None,
    site: dict[str, Any] | None = None,
    foundation: dict[str, Any] | None = None,
    decking: dict[str, Any] | None = None,
) -> DeckSpec:
    """An attached deck whose one flush beam stands at the rim, joists ``span_in`` from the ledger's face to it.

    Boards are 1.5 in thick: they may span 24 in in every edition.
    """
    plies, size = beam
    snow = load_psf if load_psf > 40 else 0
    level = {
        "width_ft": width_in / 12,
        "projection_ft": (LEDGER_IN + span_in + plies * 0.75) / 12,
        "surface_height_in": surface_in,
        "decking": decking or {"material": "wood", "thickness_in": THICK_BOARD_IN},
    }
    wall = {
        "wall": "wood_band", "foundation_wall": "poured_concrete", "door_sill_height_in": surface_in + 1.5,
        "rim_depth_in": 11.25, "floor_joist_direction": "toward_deck",
    }  # fmt: skip
    return spec_of(
        levels=[level],
        house={**wall, **(house or {})},
        site={**NOWHERE, "ground_snow_load_psf": snow, **(site or {})},
        framing={
            "attachment": "ledger", "species": species, "joist_size": joist[0], "joist_spacing_in": joist[1],
            "beam_size": size, "beam_plies": plies, "beam_placement": "flush", "post_size": post,
        },
        foundation=foundation or {},
    )  # fmt: skip


def share_ft(span_in: float, plies: int) -> float:
    """Joist reaction on the flush beam per psf, ft: statics of one span with half the beam past its centre."""
    span, past = span_in / 12, plies * 0.75 / 12
    return (span + past) ** 2 / (2 * span)


def report_of(edition: str, spec: DeckSpec) -> DesignReport:
    """Its report under an edition, without a jurisdiction or prices."""
    return designed(spec, context(None, f"irc-{edition}", priced=False))


def checks_of(report: DesignReport, check: str, basis: str = "table") -> list[Finding]:
    """The report's checks of one name."""
    return [one for one in report.checks if one.check == check and one.basis == basis]


def one(report: DesignReport, check: str, basis: str = "table") -> Finding:
    """The first check of this name; members alike in the frame are judged alike."""
    return checks_of(report, check, basis)[0]


def keys(finding: Finding) -> dict[str, str]:
    return {cell.name: cell.value for cell in finding.citation.rows}
