"""The best frame against every frame of its space: slow, simple, and nothing of the search's own.

From the top of the project, `PYTHONPATH=.:tests python -m choice.brute 300` takes that many decks and prints how large
their spaces are, how many frames were judged, and what is wrong; a second number is the first seed.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from statistics import median
from time import perf_counter
from typing import Any

from choice.brute_decks import Deck, case_of, deck_of
from choice.brute_price import Priced, Pricing
from choice.brute_space import Frame, frames, on_post

from service.checks.verdict import FORBIDDING
from service.choice.level.worked import Worked, work_out
from service.choice.search.decide import decide

MOST_FRAMES = 2000
RANK = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
STIFFEST_WITHIN = 1.10
# Asked of every frame of a region: of its site, of the wall it hangs on, of what stands on it.
OF_ALL = {
    "heavy_object", "guard_connector_unproven", "guard_omitted", "pile_policy_needs_engineer", "snow_above_tables",
    "live_load_above_tables", "dead_load_above_tables", "soil_needs_engineer", "slope_needs_engineer",
    "ledger_without_wall", "ledger_on_veneer", "ledger_on_hollow_block", "ledger_on_overhang",
    "ledger_on_unknown_wall", "sill_height_missing", "wall_needs_designed_anchors", "sheathing_off_tables",
}  # fmt: skip
CLEARLY = 1e-5  # deflections nearer to each other than this, in, are the same
Key = tuple[float, ...]
Stands = tuple[
    int, int
]  # a verdict's rank, and whether more than footings and what is said of all asks for more


@dataclass
class Proof:
    """How one deck came out: how many frames its space has, how many were judged, and what is wrong."""

    deck: Deck
    space: int
    status: str = "none"
    proven: bool = False
    judged: int = 0
    wrong: list[str] = field(default_factory=list)
    search_s: float = 0.0
    brute_s: float = 0.0


@dataclass(frozen=True)
class Known:
    """A frame with its exact cost; null where something has no price."""

    frame: Frame
    priced: Priced
    footings: int | None
    stand: int
    deflection_in: float

    @property
    def total(self) -> int:
        """All of it."""
        return self.priced.total + (self.footings or 0)

    @property
    def missing(self) -> bool:
        """Whether a price is missing."""
        return self.priced.missing > 0 or self.footings is None


class Brute:
    """Every frame of one deck, priced and, where it could be better than the one answered, judged."""

    def __init__(self, deck: Deck) -> None:
        self.deck, self.case = deck, case_of(deck)
        framing = deck.given["framing"]
        self.kind, self.direction = framing["attachment"], framing["joist_direction"]
        self.objective = framing["objective"] if deck.priced else "no_prices"
        self.pricing = Pricing(self.case)
        every = frames(self.case, self.kind, self.direction)
        self.frames = [frame for frame in every if self.pricing.has_room(frame)]
        self._judged: dict[tuple[Any, ...], Worked] = {}
        self._of_parts: dict[tuple[Any, ...], int] = {}

    def answered(self) -> tuple[Worked | None, bool]:
        """The frame the service answers with, and whether it says that it is proven to be the best."""
        decision = decide(self.case)
        return decision.chosen, decision.found is not None and decision.found.proven

    def known(self, frame: Frame) -> Known:
        """Return a frame with its price."""
        cost, stand = self.pricing.footings(frame)
        return Known(frame, self.pricing.priced(frame), cost, stand, self.pricing.deflection_in(frame))

    def judged(self, frame: Frame) -> Worked:
        """Return a frame judged to the last check."""
        key = (*frame.name, frame.layout.post_size)
        if key not in self._judged:
            self._judged[key] = work_out(self.case, (frame.layout,))
        return self._judged[key]

    def stands(self, frame: Frame) -> Stands:
        """How a frame stands: 0, 1 or 2; then whether its members ask for an engineer."""
        worked = self.judged(frame)
        for reason in worked.verdict.reasons:
            for key in _of_parts(frame):
                if reason.member and reason.member.split("-")[0] == f"main.{key[0]}":
                    worst = 2 if reason.code in FORBIDDING else 1
                    self._of_parts[key] = max(worst, self._of_parts.get(key, 0))
        codes = {one.code for one in worked.verdict.reasons}
        codes -= OF_ALL | {one.code for one in self.case.site.reasons}
        codes -= {one.code for one in worked.method.reasons} if worked.method else set()
        return RANK[worked.verdict.status], int(bool(codes))

    def least_rank(self, frame: Frame) -> int:
        """How a frame stands at best by what was said of the same joists, or the same beams, in the same place."""
        return max(self._of_parts.get(key, 0) for key in _of_parts(frame))

    def on_first_post(self, frame: Frame) -> tuple[Stands, Frame]:
        """The frame on the first post size that stands best, and how it stands."""
        sizes = self.case.space.post_sizes
        found = [(self.stands(frame), frame)]
        for size in sizes[1:]:
            if found[0][0] == (0, 0) or not _for_its_posts(self._judged.get((*frame.name, sizes[0]))):
                break
            found.append((self.stands(on_post(frame, size)), on_post(frame, size)))
        return min(found, key=lambda one: one[0])

    def twin(self, answer: Worked) -> Frame | None:
        """The frame of the space that is the one answered; null where the space does not have it."""
        layout = answer.layout
        rows = tuple(row.at(row.start_in[0]) for row in layout.rows)
        posts = tuple(row.posts_in for row in layout.rows)
        sizes = (layout.joist_size, layout.spacing_in, layout.beam_size, layout.beam_plies, layout.placement)
        for one in self.frames:
            own = (one.joist, one.spacing_in, one.beam, one.plies, one.rows.placement)
            if own == sizes and _alike(one.rows.at_in, rows) and all(map(_alike, one.posts, posts)):
                return on_post(one, layout.post_size)
        return None


def _alike(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(one) == len(other) and all(abs(a - b) < 1e-4 for a, b in zip(one, other, strict=True))


def _of_parts(frame: Frame) -> tuple[tuple[Any, ...], ...]:
    """What joists and dropped beams are judged by, each apart from the other's size."""
    joists = ("joists", frame.joist, frame.spacing_in, frame.rows)
    if frame.rows.placement == "flush":
        return (joists,)
    return joists, ("beam", frame.beam, frame.plies, frame.rows, frame.posts)


def _for_its_posts(worked: Worked | None) -> bool:
    """Whether its posts are what keeps a frame from standing better."""
    if worked is None:
        return False
    checks = {f.check for f in worked.judged.findings if not f.passes}
    codes = {reason.code for reason in worked.verdict.reasons}
    return "post_height" in checks or "post_above_table" in codes or "size_or_spacing_off_tables" in codes


def proof(deck: Deck) -> Proof:
    """Compare the frame answered with every frame of the space."""
    began = perf_counter()
    brute = Brute(deck)
    found = Proof(deck, len(brute.frames))
    if not 0 < found.space <= MOST_FRAMES:
        return found
    middle = perf_counter()
    answer, found.proven = brute.answered()
    found.search_s = perf_counter() - middle
    if answer is not None:
        found.status = answer.verdict.status
    found.wrong = list(wrong(brute, answer))
    found.judged = len(brute._judged)
    found.brute_s = perf_counter() - began - found.search_s
    return found


def wrong(brute: Brute, answer: Worked | None) -> Iterator[str]:
    if answer is None or answer.verdict.status == "not_permitted":
        yield from _none_stands(brute)
        return
    twin = brute.twin(answer)
    if twin is None:
        yield f"the frame answered is none of the space: {_told(answer)}"
        return
    known = brute.known(twin)
    yield from _priced_alike(known, answer)
    yield from _better(brute, known, answer)


def _none_stands(brute: Brute) -> Iterator[str]:
    for frame in brute.frames:
        stands, on = brute.on_first_post(frame)
        if stands[0] < 2:
            yield f"none is answered, and this one stands: {on.name}"
            return


def _priced_alike(known: Known, answer: Worked) -> Iterator[str]:
    price = answer.price
    if price is None:
        yield "the frame answered has no price"
        return
    ours = (known.priced.lumber, known.priced.hardware, known.footings or 0, known.priced.labour)
    theirs = (price.lumber, price.hardware, price.footings, price.labour)
    if ours != theirs:
        yield f"lumber, hardware, footings, labour are {ours} by hand, {theirs} answered: {known.frame.name}"
    if known.missing is price.complete and answer.levels[0].case.context.prices is not None:
        yield f"a price is missing by hand: {known.missing}, answered: {not price.complete}"
    if answer.deflection_in is not None and abs(answer.deflection_in - known.deflection_in) > CLEARLY:
        yield f"it gives {known.deflection_in:.6f} in by hand, {answer.deflection_in:.6f} answered"


def _better(brute: Brute, known: Known, answer: Worked) -> Iterator[str]:
    """Every frame that is better by the objective, and every one at all where a better verdict could be had.

    An unproven answer is no excuse: the order is the one the answer tells.
    """
    rank, asks = brute.stands(known.frame)
    best = 1 if brute.case.site.reasons else 0  # what is said of the site is said of every frame
    own, over = _key(brute.objective, known), _over(brute, known)
    for frame in sorted(brute.frames, key=lambda one: (one.interior, one.footings)):
        hopeful = asks > 0 or rank > best or _may_be_better(brute, frame, own)
        if brute.least_rank(frame) > rank or not hopeful:
            continue
        stands, on = brute.on_first_post(frame)
        if stands > (rank, asks):
            continue
        found = brute.known(on)
        if stands == (rank, asks) and (not _key(brute.objective, found) < own or over(found)):
            continue
        yield (
            f"{answer.verdict.status}, {asks}, {own} answered ({known.frame.name}), but {stands}, "
            f"{_key(brute.objective, found)} stands: {on.name} on {on.layout.post_size}"
        )


def _may_be_better(brute: Brute, frame: Frame, own: Key) -> bool:
    """Whether a frame is better, looked at first with footings that cost nothing."""
    priced = brute.pricing.priced(frame)
    gives = brute.pricing.deflection_in(frame) if brute.objective == "stiffness" else 0.0
    if not _key(brute.objective, Known(frame, priced, 0, 0, gives)) < own:
        return False
    return _key(brute.objective, Known(frame, priced, *brute.pricing.footings(frame), gives)) < own


def _key(objective: str, known: Known) -> Key:
    """What frames are compared by after their verdict, the least first."""
    frame = known.frame
    first = (float(frame.interior), float(known.stand), float(known.missing))
    if objective == "cost":
        return (*first, float(known.total), float(frame.footings))
    if objective == "fewest_footings":
        return (*first, float(frame.footings), float(known.total))
    if objective == "stiffness":
        return (*first, float(round(known.deflection_in / CLEARLY)), float(known.total))
    return (float(frame.interior), float(known.stand), float(frame.footings))


def _over(brute: Brute, known: Known) -> Callable[[Known], bool]:
    """Return whether a frame is over the ceiling of the objective ``stiffness``; with any other there is none."""
    if brute.objective != "stiffness":
        return lambda _: False
    ceiling = brute.case.spec.framing.cost_ceiling
    if ceiling is None:
        cheapest = _cheapest(brute, known)
        return lambda one: one.total > cheapest * STIFFEST_WITHIN

    def over(one: Known) -> bool:
        order = brute.judged(one.frame).takeoff.total
        return order is not None and Decimal(order.amount) > Decimal(ceiling.amount)

    return over


def _cheapest(brute: Brute, known: Known) -> int:
    """What the cheapest frame costs that stands as well as the one answered."""
    stands, best = brute.stands(known.frame), known.total
    for frame in brute.frames:
        lighter = frame.interior <= known.frame.interior and brute.pricing.priced(frame).total < best
        if lighter and brute.least_rank(frame) <= stands[0]:
            one = brute.known(frame)
            as_well = one.stand <= known.stand and one.missing <= known.missing
            if as_well and one.total < best and brute.stands(frame) <= stands:
                best = one.total
    return best


def _told(answer: Worked) -> str:
    layout = answer.layout
    rows = [(round(row.at(row.start_in[0]), 3), row.posts_in) for row in layout.rows]
    sizes = (layout.joist_size, layout.spacing_in, layout.beam_size, layout.beam_plies, layout.placement)
    return f"{sizes} {rows}"


def proofs(count: int, first: int = 0) -> Iterator[Proof]:
    """Yield so many decks whose spaces are small enough, from a seed on."""
    seed, done = first, 0
    while done < count:
        found = proof(deck_of(seed))
        seed += 1
        if 0 < found.space <= MOST_FRAMES:
            done += 1
            yield found


def main(count: int, first: int = 0) -> int:
    """Prove and print; return 1 where any deck is wrong, whether the answer says that it is proven or not."""
    found = []
    for one in proofs(count, first):
        found.append(one)
        for said in one.wrong[:4]:
            sys.stdout.write(f"seed {one.deck.seed} (proven: {one.proven}) {one.deck.given}:\n  {said}\n")
        sys.stdout.flush()
    sizes = [one.space for one in found]
    sys.stdout.write(
        f"{len(found)} decks, seeds {first} to {found[-1].deck.seed}; frames: least {min(sizes)}, "
        f"median {median(sizes):g}, most {max(sizes)}, {sum(sizes)} in all; "
        f"{sum(one.judged for one in found)} judged to the last check; "
        f"{dict(Counter(one.status for one in found))}; "
        f"{sum(one.proven for one in found)} told as proven; {sum(bool(one.wrong) for one in found)} decks wrong; "
        f"search {sum(one.search_s for one in found):.1f} s, brute force {sum(one.brute_s for one in found):.1f} s\n"
    )
    return int(any(one.wrong for one in found))


if __name__ == "__main__":
    sys.exit(main(*(int(word) for word in sys.argv[1:3])))
