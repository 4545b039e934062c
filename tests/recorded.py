"""What is recorded of a design: enough that any change of a frame, a check or an order is seen.

To record again after a change that was meant, from the project's folder: `PYTHONPATH=.:tests python -m recorded`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from context import context, designed, spec_of

from service.contract.report import DesignReport

FOLDER = Path(__file__).parent / "pinned"
KNOWN_WALL = {
    "wall": "wood_band", "foundation_wall": "poured_concrete", "rim_depth_in": 11.25, "foundation_depth_in": 96,
    "floor_joist_direction": "toward_deck", "excavation_slope": "type_b",
}  # fmt: skip
DECKS: dict[str, dict[str, Any]] = {
    "attached_16x12": {
        "jurisdiction": "alder-county",
        "house": {**KNOWN_WALL, "door_sill_height_in": 37.5},
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
        "stairs": [{"edge": 2, "offset_ft": 6, "width_in": 48}],
    },
    "freestanding_20x14_in_snow": {
        "jurisdiction": "ketterwick-township",
        "levels": [{"width_ft": 20, "projection_ft": 14, "surface_height_in": 40}],
        "framing": {"species": "hem_fir"},
    },
    "low_on_saddles": {
        "jurisdiction": "sundrel-flats",
        "house": {"wall": "none"},
        "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 20}],
    },
    "pins_that_cannot_stand": {
        "jurisdiction": "sallowmere-bay",
        "house": {**KNOWN_WALL, "door_sill_height_in": 61.5},
        "levels": [{"width_ft": 14, "projection_ft": 14, "surface_height_in": 60}],
        "framing": {
            "attachment": "ledger", "joist_size": "2x6", "joist_spacing_in": 24, "beam_placement": "flush",
        },
    },
}  # fmt: skip


def _frame(report: DesignReport) -> Iterator[str]:
    for level in report.levels:
        for joists in level.joists:
            line = joists.lines[0]
            yield f"{joists.id} {joists.count} x {joists.size} at {joists.spacing_in:g}, {line.length_in:g} in long"
        for beam in level.beams:
            spans = " ".join(f"{span:g}" for span in beam.spans_in)
            yield f"{beam.id} {beam.plies}-ply {beam.size} {beam.placement}, spans {spans}, {beam.line_load_plf:g} plf"
    for post in report.posts:
        yield f"{post.id} {post.size} {post.height_in:g} in, {post.load_lb:g} lb"
    for footing in report.footings:
        size = (
            footing.concrete.shaft_diameter_in
            if footing.concrete
            else footing.pile.shaft
            if footing.pile
            else ""
        )
        yield f"{footing.id} {footing.method} {size} to {footing.bottom_height_in:g}, {footing.load_lb:g} lb"


def recorded(name: str) -> dict[str, Any]:
    """What stands in the file of a recorded deck."""
    deck = DECKS[name]
    report = designed(spec_of(**deck), context(deck["jurisdiction"]))
    total = report.takeoff.total
    return {
        "verdict": [report.verdict.status, *(reason.code for reason in report.verdict.reasons)],
        "attachment": report.attachment.kind,
        "frame": list(_frame(report)),
        "checks": [
            f"{c.id} {c.demand} {c.capacity} {'passes' if c.passes else 'fails'}" for c in report.checks
        ],
        "order": [f"{line.item} {line.length_ft} ft x {line.quantity}" for line in report.takeoff.stock],
        "hardware": [f"{line.item} x {line.quantity:g}" for line in report.takeoff.hardware],
        "total": total.amount if total else None,
        "cautions": [caution.code for caution in report.cautions],
    }


def main() -> None:
    """Write every recorded deck again."""
    for name in DECKS:
        text = json.dumps(recorded(name), indent=1)
        (FOLDER / f"{name}.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
