"""What the building department will probably want. It decides; this is a list to ask by."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.report import Inspection, Permit, Permits
from service.contract.spec import DeckSpec
from service.rules.jurisdiction import Jurisdiction

PERMIT_TEXT = {
    "zoning": "Setbacks, lot coverage and easements, before the construction permit.",
    "construction": "Spans, lumber, footings, connections, guards and stairs.",
    "electrical": "Circuit, disconnect and receptacles for what stands on or near the deck.",
    "right_of_way": "Trucks, a pump or a dumpster in the street.",
}
INSPECTIONS = {
    "footing_holes": (
        "holes dug, before any concrete",
        (
            "bottoms on undisturbed ground and below frost",
            "size and depth",
            "no loose soil or water",
            "place of each",
        ),
    ),
    "pile_torque": (
        "while piles are driven, or from the log afterwards",
        ("torque at depth against what was asked", "depth below frost", "caps and saddles"),
    ),
    "ledger_and_flashing": (
        "ledger fastened and flashed, before it is covered",
        (
            "fastener size, rows, spacing, edge distances",
            "band and sheathing behind",
            "flashing",
            "lateral ties",
        ),
    ),
    "framing": (
        "frame done, before decking where it can't be seen from below",
        (
            "sizes, spans and cantilevers",
            "hangers and ties",
            "beam plies and splices",
            "post bases, caps, bracing",
        ),
    ),
    "final": (
        "everything done",
        (
            "guards and their posts",
            "stairs: risers, handrail, landing",
            "decking fastened",
            "grading and drainage",
        ),
    ),
}
USUAL_INSPECTIONS = ("footing_holes", "ledger_and_flashing", "framing", "final")
QUESTIONS = (
    "Does an escape window or a vent open under the deck?",
    "Do meters, vents, hose bibs or air units end up under or in the deck?",
    "Do overhead wires pass within reach of the deck?",
    "Where are the septic field, wells and easements?",
    "Is the lot in a flood zone or a wildfire zone?",
    "Is glass near the stairs or the deck's edge safety glazing?",
    "How are the stairs lit?",
    "What state is the band joist in, and can it be reached from inside?",
    "How far is the deck from the lot line for fire separation?",
    "Where does water from the deck and the roof go, and what gap stays at the wall?",
    "Is the house a one- or two-family house? Other buildings come under another code.",
    "Who looks after the deck, and how often are fasteners and flashing looked at?",
)
DRAWINGS = (
    "site plan with lot lines, house, deck and stairs",
    "framing plan with every member, size and spacing",
    "footing plan with places from the house corner, sizes and depths",
    "section from footing to guard with heights",
)


def _kinds(spec: DeckSpec, place: Jurisdiction | None) -> Iterator[str]:
    yield from place.permits if place else ("zoning", "construction")
    if any(thing.kind in ("hot_tub", "outdoor_kitchen") for thing in spec.heavy_objects):
        yield "electrical"


def _exempt_note(place: Jurisdiction | None, area_sqft: float, height_in: float, attached: bool) -> str:
    free = place.permit_exempt if place else None
    if free is None or attached or area_sqft > free.max_area_sqft or height_in > free.max_height_in:
        return ""
    return (
        f" {place.name if place else ''} may waive it for a free-standing deck up to {free.max_area_sqft:g} sq ft and "
        f"{free.max_height_in:g} in high, not at the required exit: ask."
    )


def _inspections(place: Jurisdiction | None, method: str | None, attached: bool) -> Iterator[Inspection]:
    for kind in place.inspections if place else USUAL_INSPECTIONS:
        piles = method == "helical_pile"
        idle = {"ledger_and_flashing": not attached, "pile_torque": not piles, "footing_holes": piles}
        if idle.get(kind, False):
            continue
        when, looks = INSPECTIONS[kind]
        yield Inspection(kind=kind, when=when, looks_at=looks)


def permits_of(
    spec: DeckSpec,
    place: Jurisdiction | None,
    attached: bool,
    method: str | None,
    area_sqft: float,
) -> Permits:
    """Return permits, inspections in sequence, drawings and the questions a reviewer asks."""
    note = _exempt_note(place, area_sqft, spec.levels[0].surface_height_in, attached)
    permits = tuple(
        Permit(kind=kind, text=PERMIT_TEXT[kind] + (note if kind == "construction" else ""))
        for kind in dict.fromkeys(_kinds(spec, place))
    )
    details = ["stair detail"] if spec.stairs else []
    if attached:
        details.append("ledger detail with fastener rows and flashing")
    return Permits(
        permits=permits,
        inspections=tuple(_inspections(place, method, attached)),
        drawings_needed=(*DRAWINGS, *details),
        reviewer_questions=QUESTIONS,
    )
