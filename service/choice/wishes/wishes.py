"""What a customer may wish of a deck beside what is answered, each wish as the spec would say it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import msgspec

from service.choice.level.worked import Worked
from service.comparison.cost import crew_time
from service.comparison.method_words import NAMES, name
from service.contract.spec import DeckSpec
from service.contract.vocabulary import known
from service.framing.layout import Layout
from service.rules.price_book import PriceBook
from service.sizing.lumber import BY_DEPTH, nominal
from service.takeoff.items import lumber, post, treatment
from service.takeoff.pricing import for_sale

CLOSE_SPACING_IN = 12.0  # under composite boards, and for a stiffer floor (common practice)
MOST_PLIES = 3
POSTS = ("4x4", "6x6")
AWAY = "joists away from the house"
OBJECTIVES = {
    "cost": "The cheapest frame",
    "fewest_footings": "The fewest footings",
    "stiffness": "The stiffest frame",
}
LEAST_SIZES = (
    2  # of joists and of beams alike: with fewer there is nothing to choose (convention of this service)
)


@dataclass(frozen=True)
class Wish:
    """One wish: its words on the wire and at the start of a sentence, and the spec that asks for it.

    ``has`` says whether a deck worked out has it, ``note`` how it is to be understood.
    """

    preference: str
    value: str
    said: str
    spec: DeckSpec
    has: Callable[[Worked], bool]
    note: str = ""


def wishes_of(spec: DeckSpec, prices: PriceBook | None, *, one_way: bool = False) -> Iterator[Wish]:
    """Yield what is told of every deck, in the order it is told.

    ``one_way`` says that joists along the house are not tried.
    """
    yield _one_size(spec)
    yield _close(spec)
    yield _thick(spec)
    yield from (_attachment(spec, kind) for kind in ("ledger", "freestanding"))
    yield from (_posts(spec, size) for size in POSTS)
    if prices is not None:
        yield from _woods(spec, prices)
    yield from (_method(spec, method) for method in NAMES)
    # Without prices every frame is chosen by its footings.
    yield from (
        _objective(spec, objective, one_way=one_way) for objective in OBJECTIVES if prices is not None
    )


def with_framing(spec: DeckSpec, **changes: object) -> DeckSpec:
    """Return the spec with other wishes of its frame."""
    return msgspec.structs.replace(spec, framing=msgspec.structs.replace(spec.framing, **changes))


def _all(has: Callable[[Layout], bool]) -> Callable[[Worked], bool]:
    """Whether every part of every level has something."""
    return lambda worked: all(has(one) for level in worked.levels for one in level.layouts)


def _one_size(spec: DeckSpec) -> Wish:
    asked = with_framing(spec, one_size=True, beam_size=None)  # a pinned size would win over it
    has = _all(lambda one: nominal(one.joist_size)[1] == nominal(one.beam_size)[1])
    return Wish("one_size", "true", "One depth for joists and beams", asked, has)


def _close(spec: DeckSpec) -> Wish:
    asked = with_framing(spec, joist_spacing_in=CLOSE_SPACING_IN)
    value = f"{CLOSE_SPACING_IN:g}"
    return Wish(
        "joist_spacing_in", value, f"{value} in spacing", asked, _all(lambda one: one.spacing_in == CLOSE_SPACING_IN)
    )  # fmt: skip


def _thick(spec: DeckSpec) -> Wish:
    size = spec.framing.beam_size
    solid = size is not None and nominal(size)[0] > 2
    asked = with_framing(spec, beam_plies=MOST_PLIES, beam_size=None if solid else size)
    return Wish(
        "beam_plies", str(MOST_PLIES), "Three-ply beams", asked, _all(lambda one: one.beam_plies == MOST_PLIES)
    )  # fmt: skip


def _attachment(spec: DeckSpec, kind: str) -> Wish:
    def has(worked: Worked) -> bool:
        if kind == "freestanding":
            return not worked.attached
        return all(level.attached for level in worked.levels if level.case.touches_house)

    text = "On a ledger" if kind == "ledger" else "Standing free"
    return Wish("attachment", kind, text, with_framing(spec, attachment=kind), has)


def _posts(spec: DeckSpec, size: str) -> Wish:
    asked = with_framing(spec, post_size=size)
    return Wish("post_size", size, f"{size} posts", asked, _all(lambda one: one.post_size == size))


def _woods(spec: DeckSpec, prices: PriceBook) -> Iterator[Wish]:
    """Other species the book holds, in the deck's grade where it does, and other grades of the deck's species."""
    ours = spec.framing
    grades = (ours.grade, *(one for one in known("framing.grade") if one != ours.grade))
    for species in known("framing.species"):
        sold = [grade for grade in grades if is_sold(prices, species, grade)]
        for grade in sold if species == ours.species else sold[:1]:
            yield _wood(spec, species, grade)


def _wood(spec: DeckSpec, species: str, grade: str) -> Wish:
    asked = with_framing(spec, species=species, grade=grade)
    text = f"{_plain(species)}, {_plain(grade)}"

    def has(worked: Worked) -> bool:
        framing = worked.levels[0].case.spec.framing
        return (framing.species, framing.grade) == (species, grade)

    if (species, grade) == (spec.framing.species, spec.framing.grade) or species != spec.framing.species:
        return Wish("species", species, text[:1].upper() + text[1:], asked, has)
    return Wish("grade", grade, text[:1].upper() + text[1:], asked, has)


def _plain(word: str) -> str:
    """A word of the wire as it is read.

    >>> _plain("douglas_fir_larch"), _plain("no_2")
    ('douglas fir-larch', 'No. 2')
    """
    text = word.replace("no_", "No. ").replace("fir_larch", "fir-larch").replace("hem_fir", "hem-fir")
    return text.replace("pine_fir", "pine-fir").replace("spruce_", "spruce-").replace("_", " ")


def is_sold(prices: PriceBook, species: str, grade: str) -> bool:
    """Return whether a book has a wood to frame with: sizes to choose from for joists and beams, and posts."""
    above = treatment(species, ground_contact=False)
    in_beams = treatment(species, ground_contact=False, hard_to_replace=True)
    upright = treatment(species, ground_contact=False, structural_post=True)
    sizes = [
        size
        for size in BY_DEPTH
        if all(_held(prices, lumber(size, species, grade, use)) for use in (above, in_beams))
    ]
    posts = any(_held(prices, post(size, species, grade, upright)) for size in POSTS)
    return len(sizes) >= LEAST_SIZES and posts


def _held(prices: PriceBook, item: str) -> bool:
    return bool(for_sale(prices, item))


def _method(spec: DeckSpec, method: str) -> Wish:
    foundation = msgspec.structs.replace(spec.foundation, method=method)
    asked = msgspec.structs.replace(spec, foundation=foundation)

    def has(worked: Worked) -> bool:
        return worked.method is not None and worked.method.method == method

    return Wish("footing_method", method, name(method), asked, has)


def _objective(spec: DeckSpec, objective: str, *, one_way: bool) -> Wish:
    asked = with_framing(spec, objective=objective)

    def has(worked: Worked) -> bool:
        return worked.levels[0].case.spec.framing.objective == objective

    notes = {
        "cost": ", ".join(left_aside(spec, one_way=one_way)),
        "fewest_footings": AWAY if one_way else "",
        "stiffness": _reach(spec),
    }
    return Wish("objective", objective, OBJECTIVES[objective], asked, has, notes.get(objective, ""))


def left_aside(spec: DeckSpec, *, one_way: bool = False) -> tuple[str, ...]:
    """Return what is not looked for unless the spec asks for it, however little it costs.

    ``one_way`` says that joists along the house are not tried, as those away from it do.
    """
    posts = () if spec.framing.post_size else ("on 6x6 posts",)
    away = (AWAY,) if one_way else ()
    if spec.foundation.method != "auto":
        return (*posts, *away)
    crew = crew_time(spec.crew)
    late = "" if crew.pays_hours or crew.day_value is not None else "take longer or "
    return (*posts, f"methods that {late}serve less long held back", *away)


def _reach(spec: DeckSpec) -> str:
    """How far the money reaches, by the ceiling or by our convention."""
    ceiling = spec.framing.cost_ceiling
    if ceiling is None:
        return "for a tenth over the cheapest at most"
    return f"with an order of no more than {ceiling.amount} {ceiling.currency}"
