"""Pairs of a spec that pins every version, and what the tables said of it: these stay equal under every later engine.

A pair is written once. To write those of decks that have none, from the project's folder:
`PYTHONPATH=.:tests python -m table_checks`. One that is there is not written again: where a test finds another answer,
the engine has changed what a published table says, and it is the engine that is wrong.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import msgspec

from service.app import bundled_snapshot, make_desk
from service.contract.report import DesignReport
from service.contract.spec import DeckSpec
from service.pipeline import design
from service.web.desk import Desk
from service.web.resolve import context_of, read_spec

FOLDER = Path(__file__).parent / "pinned" / "table_checks"
EXAMPLES = Path(__file__).parents[1] / "openapi" / "examples"
BAND: dict[str, Any] = {
    "wall": "wood_band", "foundation_wall": "poured_concrete", "rim_depth_in": 11.25, "foundation_depth_in": 96,
    "floor_joist_direction": "toward_deck", "excavation_slope": "type_b",
}  # fmt: skip
FREE: dict[str, Any] = {"wall": "none"}
TODAY, BOOK = "2026-11-28", "brindlemoor-yard@4"


def _deck(
    place: str, width_ft: float, projection_ft: float, surface_in: float, **more: Any
) -> dict[str, Any]:
    level = {"width_ft": width_ft, "projection_ft": projection_ft, "surface_height_in": surface_in}
    return {
        "jurisdiction": place,
        "as_of": TODAY,
        "price_book": BOOK,
        "house": FREE,
        "levels": [level],
    } | more


def _band(surface_in: float) -> dict[str, Any]:
    return BAND | {"door_sill_height_in": surface_in + 1.5}


def _stair(offset_ft: float, width_in: float) -> list[dict[str, Any]]:
    return [{"edge": 2, "offset_ft": offset_ft, "width_in": width_in}]


def _example(name: str) -> dict[str, Any]:
    given = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    return {key: value for key, value in given.items() if key != "reference"}


OF_BEFORE: dict[str, Any] = {"price_book": None}
DECKS: dict[str, dict[str, Any]] = {
    "alder_ledger_with_stair": _deck("alder-county", 16, 12, 36, house=_band(36), stairs=_stair(6, 48)),
    "alder_on_piers_beside_veneer": _example("freestanding-veneer"),
    "alder_2018_hem_fir_on_ledger": _deck(
        "alder-county", 14, 10, 28, house=_band(28), framing={"species": "hem_fir"}, as_of="2020-06-01", **OF_BEFORE
    ),
    "alder_2015_douglas_fir_standing_free": _deck(
        "alder-county", 18, 12, 48, framing={"species": "douglas_fir_larch"}, as_of="2017-05-01", **OF_BEFORE
    ),
    "alder_hot_tub": _example("hot-tub"),
    "alder_two_levels": _example("two-levels"),
    "alder_l_round_a_corner": _example("l-round-a-corner"),
    "alder_hillside": _example("hillside"),
    "alder_clipped_corner": _example("clipped-corner"),
    "alder_wrap_of_two_walls": _example("wrap-of-two-walls"),
    "ketterwick_snow_standing_free": _deck("ketterwick-township", 20, 14, 40, framing={"species": "hem_fir"}),
    "ketterwick_snow_on_ledger": _deck("ketterwick-township", 14, 12, 34, house=_band(34), stairs=_stair(5, 36)),
    "ketterwick_2018_snow": _deck("ketterwick-township", 12, 10, 24, as_of="2022-03-01", **OF_BEFORE),
    "sallowmere_flush_beam_on_ledger": _deck(
        "sallowmere-bay", 14, 10, 32, house=_band(32), framing={"beam_placement": "flush", "attachment": "ledger"}
    ),
    "sallowmere_redwood_with_guards": _deck(
        "sallowmere-bay", 16, 12, 60, framing={"species": "redwood"}, stairs=_stair(4, 48)
    ),
    "sallowmere_pins_that_cannot_stand": _deck(
        "sallowmere-bay", 14, 14, 60, house=_band(60),
        framing={
            "attachment": "ledger", "joist_size": "2x6", "joist_spacing_in": 24, "beam_size": "2x6", "beam_plies": 1,
        },
    ),
    "sundrel_low_on_saddles": _deck("sundrel-flats", 12, 10, 20),
    "sundrel_with_wide_stair": _deck("sundrel-flats", 20, 10, 42, stairs=_stair(6, 72)),
    "fellmarch_live_load_60": _deck("fellmarch-borough", 12, 10, 36, stairs=_stair(4, 36)),
    "no_place_2024_cedar_in_snow": {
        "rulebook": "irc-2024@1", "as_of": TODAY, "house": FREE,
        "site": {"frost_depth_in": 30, "ground_snow_load_psf": 50, "soil_class": "sandy_gravel"},
        "levels": [{"width_ft": 14, "projection_ft": 10, "surface_height_in": 30}],
        "framing": {"species": "western_cedar", "beam_plies": 3},
    },
}  # fmt: skip
# What one deck has the same everywhere is pinned, so that a search that looks further finds no other frame.
PINS = ("joist_size", "joist_spacing_in", "beam_size", "beam_plies", "post_size")


@cache
def desk() -> Desk:
    """All that is published with the service, every version of it."""
    return make_desk(bundled_snapshot())


def report_of(spec: DeckSpec) -> DesignReport:
    """The report of a spec, by the versions it names."""
    return design(spec, context_of(spec, desk()))


def table_checks(report: DesignReport) -> list[dict[str, Any]]:
    """What a pair keeps of a report: of each check by a table its id, demand, capacity and citation."""
    found = [
        {"id": one.id, "demand": one.demand, "capacity": one.capacity, "citation": one.citation}
        for one in report.checks
        if one.basis == "table"
    ]
    read: list[dict[str, Any]] = msgspec.json.decode(msgspec.json.encode(found))
    return read


def _only(values: Iterable[Any]) -> Any:
    found = set(values)
    return found.pop() if len(found) == 1 else None


def pinned(report: DesignReport) -> DeckSpec:
    """The resolved spec of a report with the sizes of its frame pinned."""
    spec, levels = report.resolved_spec, report.levels
    joists = [one for level in levels for one in level.joists]
    beams = [one for level in levels for one in level.beams]
    sizes = (
        _only(one.size for one in joists), _only(one.spacing_in for one in joists), _only(one.size for one in beams),
        _only(one.plies for one in beams), _only(one.size for one in report.posts),
    )  # fmt: skip
    framing = msgspec.structs.replace(
        spec.framing,
        **{name: size for name, size in zip(PINS, sizes, strict=True) if size is not None},
        attachment=report.attachment.kind,
    )
    return msgspec.structs.replace(spec, framing=framing)


def pair_of(name: str) -> dict[str, Any]:
    """The pair of a deck: its spec pinned through and through, and what the tables say of it."""
    first = report_of(read_spec(json.dumps(DECKS[name]).encode(), desk()))
    spec = report_of(pinned(first)).resolved_spec
    return {"spec": msgspec.to_builtins(spec), "checks": table_checks(report_of(spec))}


def write(name: str, folder: Path = FOLDER) -> Path:
    """Write the pair of a deck; raises ``FileExistsError`` where it is there: these stay equal under every engine."""
    path = folder / f"{name}.json"
    if path.exists():
        raise FileExistsError(f"{path} is there: these stay equal under every later engine")
    text = json.dumps(pair_of(name), indent=1) + "\n"
    with path.open("x", encoding="utf-8") as file:
        file.write(text)
    return path


def main() -> None:
    """Write the pairs of decks that have none."""
    for name in DECKS:
        if not (FOLDER / f"{name}.json").exists():
            print(write(name))


if __name__ == "__main__":
    main()
