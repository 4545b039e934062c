"""Random rectangular decks with pins that keep the space of frames small: the same ones on every run."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random  # noqa: TID251 - seeded: the same decks on every run
from typing import Any

from context import context, spec_of

from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.level.context import Context
from service.comparison.result import MethodResult
from service.contract.spec import DeckSpec
from service.sizing.resolve import criteria_of, resolve_spec

PLACES = ("alder-county", "ketterwick-township", "sallowmere-bay", "sundrel-flats")
CREWS: tuple[dict[str, Any] | None, ...] = (
    None,
    {"currency": "USD", "size": 3, "crew_day_value": "1450.00"},
    {
        "currency": "USD",
        "size": 2,
        "hourly_rate": "47.50",
        "crew_day_value": "900.00",
        "time_counted": "wages_plus_idle_days",
    },
)
METHODS = ("auto", "auto", "auto", "tube_form_pier", "pad_and_pier", "helical_pile", "belled_pier")
# Which sizes are pinned: few pins only where the rest of the space is small.
PINS: tuple[tuple[str, ...], ...] = (
    ("joist_size", "joist_spacing_in", "beam_size", "beam_plies"),
    ("joist_size", "joist_spacing_in", "beam_size"),
    ("joist_spacing_in", "beam_size", "beam_plies"),
    ("joist_size", "joist_spacing_in", "beam_plies"),
    ("joist_size", "beam_size", "beam_plies"),
    ("joist_spacing_in", "beam_plies"),
    ("joist_size", "beam_plies"),
    ("beam_size", "beam_plies"),
    ("beam_plies",),
    (),
)


@dataclass(frozen=True)
class Deck:
    """One deck: what is asked for, and where."""

    seed: int
    place: str
    priced: bool
    given: dict[str, Any]

    @property
    def spec(self) -> DeckSpec:
        """The spec as a caller writes it."""
        return spec_of(**self.given)

    @property
    def where(self) -> Context:
        """What it is designed against."""
        return context(self.place, priced=self.priced)


def case_of(deck: Deck, given: dict[str, Any] | None = None) -> Case:
    """Return the one level of a deck as a search sees it; of other wishes where they are given."""
    where = deck.where
    book = f"{where.prices.id}@{where.prices.version}" if where.prices else None
    spec = spec_of(**(given or deck.given))
    resolved = resolve_spec(spec, where.rulebook, where.jurisdiction, book, where.as_of)
    judged_by = criteria_of(resolved, where.rulebook, where.guide, where.jurisdiction, where.timber)
    (case,) = cases_of(resolved, where, judged_by)
    return case


def deck_of(seed: int) -> Deck:
    """Return the deck of a seed."""
    pick = Random(seed)  # noqa: S311 - no secret
    place = PLACES[seed % len(PLACES)]
    attachment = "ledger" if pick.random() < 0.6 else "freestanding"
    direction = "along_house" if attachment == "freestanding" and pick.random() < 0.3 else "away_from_house"
    level: dict[str, Any] = {
        "width_ft": pick.choice((8, 10, 12, 14, 15.5, 16, 18.3, 20, 24, 30)),
        "projection_ft": pick.choice((5, 6, 7.5, 8, 10, 11.2, 12, 14)),
        "surface_height_in": pick.choice((22, 28, 30, 30, 34, 40, 52, 84)),
    }
    site = {}
    if pick.random() < 0.4:
        site = {
            "grade_fall_x_in_per_ft": pick.choice((-0.4, 0.25, 0.5)),
            "grade_fall_y_in_per_ft": pick.choice((0.0, 0.3, 0.6)),
        }
    house: dict[str, Any] = {"wall": "wood_band", "door_sill_height_in": level["surface_height_in"] + 1.5}
    house |= {"floor_build_up_in": 1.5, "rim_depth_in": pick.choice((9.25, 11.25, 11.25, 14))}
    house |= {"floor_joist_direction": "toward_deck", "foundation_depth_in": pick.choice((24, 36, 96))}
    if attachment == "freestanding" and pick.random() < 0.3:
        house = {"wall": "none"}
    framing = _framing(pick, attachment, direction)
    given = {
        "jurisdiction": place,
        "levels": [level],
        "site": site,
        "house": house,
        "framing": framing,
        "foundation": {"method": pick.choice(METHODS)},
    }
    crew = pick.choice(CREWS)
    if crew:
        given["crew"] = crew
    return Deck(seed, place, pick.random() > 0.06, given)


def _framing(pick: Random, attachment: str, direction: str) -> dict[str, Any]:
    sizes: dict[str, Any] = {
        "joist_size": pick.choice(("2x8", "2x8", "2x10", "2x12")),
        "joist_spacing_in": pick.choice((12, 16)),
        "beam_size": pick.choice(("2x8", "2x10", "2x12")),
        "beam_plies": pick.choice((2, 2, 3)),
    }
    pins = pick.choice(PINS)
    framing = {name: sizes[name] for name in pins}
    framing |= {"attachment": attachment, "joist_direction": direction}
    framing["species"] = pick.choice(("southern_pine", "southern_pine", "douglas_fir_larch"))
    framing["one_size"] = pick.random() < 0.3
    framing["beam_placement"] = pick.choice(("dropped", "dropped", "auto", "flush"))
    if pick.random() < 0.5:
        framing["post_size"] = pick.choice(("6x6", "6x6", "4x4"))
    framing["objective"] = pick.choice(("cost", "cost", "cost", "fewest_footings", "stiffness"))
    if framing["objective"] == "stiffness" and pick.random() < 0.6:
        framing["cost_ceiling"] = {
            "currency": "USD",
            "amount": pick.choice(("2600.00", "4500.00", "7000.00")),
        }
    return framing


def stands(method: MethodResult | None, wanted: str) -> int:
    """How a method stands: feasible, its verdict, off the fill, lasting, without a grave risk, each before the next."""
    if method is None or wanted not in ("auto", method.method):
        return 48
    unfit, rank, *lesser = method.verdict_key
    return int("".join(str(int(one)) for one in lesser), 2) + 8 * (rank + 3 * unfit)
