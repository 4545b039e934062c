"""Other frames of the deck answered: those best in something, the other way of support, the nearest that stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, zip_longest

from service.checks.judged import caution
from service.choice.level.worked import Worked
from service.choice.search.best_first import ObjectiveWord, Order
from service.choice.search.decide import Decision
from service.choice.wishes.alternatives import Bound, Offer, Told, alternative, bounded, worth_telling
from service.choice.wishes.beside import Answered, figures_of
from service.choice.wishes.described import differences, summary
from service.choice.wishes.judging import Framed, Way, best_within
from service.choice.wishes.wishes import Wish
from service.choice.wishes.wishing import Granted
from service.comparison.recommend import too_slow
from service.comparison.result import LESSER_SERVICE, STATUS_RANK
from service.contract.report import Caution
from service.contract.report_choice import Alternative

Frame = tuple[Worked, ...]  # each level as a deck by itself
# What the answer holds back or never tries of its own accord, though it may cost less.
HELD_BACK = ("post_size", "footing_method")
THIN_POSTS = "posts thinner than 6x6 are not tried unasked"
UNASKED = "it is not taken unasked"
ON_FILL, LESS_LONG, GRAVE = (
    "it would stand on ground that was put back",
    "it serves less long",
    "its holes may flood, cave in or meet rock",
)
# What no figure of a frame tells.
GIVEN_UP = {
    ON_FILL: "stands on ground that was put back",
    LESS_LONG: "serves less long",
    GRAVE: "holes may flood, cave in or meet rock",
}


def alternatives(
    answered: Answered, granted: Sequence[Granted] = (), *, sought: bool = True
) -> tuple[Alternative, ...]:
    """Return at most eight other frames, none as good in everything as another.

    First the nearest frame that stands where the one answered does not, and the frame of sawn lumber where that is
    answered in another material, then wishes that were ``granted`` for less money, then the other way of support,
    then those that are best in something, if they are ``sought``. Of a deck of several levels each but the wishes is
    of one level, and says so: the others stay.
    """
    levels = range(len(answered.decisions))
    in_turn = zip_longest(*(_offers(answered, number, sought) for number in levels))
    offers = chain(
        (one for number in levels for one in _nearest(answered, number)),
        _of_sawn_lumber(answered),
        _for_less(answered, granted),
        (one for turn in in_turn for one in turn if one is not None),
    )
    told = worth_telling(answered.figures, offers)
    return tuple(
        alternative(answered.figures, answered.whole, answered.currency, offer, _told(answered, offer.frame))
        for offer in told
    )


def left_out(answered: Answered) -> tuple[Caution, ...]:
    """Return a caution where not every wish or other frame was looked into: the deck has too many of them."""
    if not answered.judge.effort.refused:
        return ()
    text = (
        "This deck has so many frames, footings and edges that not every wish and not every other frame was looked "
        "into: one that is better in something may be missing."
    )
    return (caution("other_frames_left_out", text, "Ask for one wish at a time, as the spec would name it."),)


def _told(answered: Answered, frame: Frame) -> Told:
    """A frame in words: of several levels those that differ, and what is different on each."""
    levels = range(len(frame))
    moved = [one for one in levels if frame[one] is not answered.parts[one]] or list(levels)
    names = {one: f"level {answered.cases[one].level.id}: " if len(frame) > 1 else "" for one in moved}
    said = [f"material: treated sawn lumber instead of {answered.shown.material}"] if answered.shown else []
    said += [
        f"{names[one] if len(moved) > 1 else ''}{found.text}"
        for one in moved
        for found in differences(answered.parts[one], frame[one], alone=len(frame) == 1)
    ]
    return Told("; ".join(names[one] + summary(frame[one]) for one in moved), tuple(said))


def _offer(answered: Answered, number: int, worked: Worked, because: str = "") -> Offer[Frame]:
    parts = tuple(worked if place == number else part for place, part in enumerate(answered.parts))
    return Offer(figures_of(answered.deck(parts), parts), parts, because)


def _nearest(answered: Answered, number: int) -> Iterator[Offer[Frame]]:
    nearest = answered.decisions[number].nearest
    if nearest is not None:
        yield _offer(answered, number, nearest, "The nearest frame that stands, with sizes free to choose.")


def _of_sawn_lumber(answered: Answered) -> Iterator[Offer[Frame]]:
    """The frame whose members sections have taken the place of, unless it stands worse."""
    sawn = answered.sawn
    if answered.shown is not None and STATUS_RANK[sawn.verdict] <= STATUS_RANK[answered.figures.verdict]:
        yield Offer(sawn, answered.parts, "The same frame of treated sawn lumber.")


def _for_less(answered: Answered, granted: Sequence[Granted]) -> Iterator[Offer[Frame]]:
    """Wishes nobody pinned that cost less than the frame answered, stand no worse and are no slower."""
    for one in granted:
        figures = one.outcome.figures
        free = one.wish.preference in HELD_BACK and _unpinned(answered, one.wish.preference)
        if free and not one.already and figures is not None and _less(answered, one):
            cause = _cause(answered, one.wish)
            given_up = (GIVEN_UP[cause],) if cause in GIVEN_UP else ()
            yield Offer(figures, one.parts, f"{one.wish.said}, for less: {cause}.", given_up)


def _cause(answered: Answered, wish: Wish) -> str:
    """Why a wish is not answered unasked: of a footing method what holds it back behind the one answered."""
    if wish.preference == "post_size":
        return THIN_POSTS if wish.value == "4x4" else UNASKED
    comparison, ours = answered.chosen.comparison, answered.chosen.method
    theirs = comparison.result(wish.value)
    if theirs is None or ours is None:
        return UNASKED
    if theirs.stands_on_fill and not ours.stands_on_fill:
        return ON_FILL
    if theirs.method in LESSER_SERVICE and ours.method not in LESSER_SERVICE:
        return LESS_LONG
    if theirs.grave and not ours.grave:
        return GRAVE
    if theirs in too_slow(comparison.results):
        return "it usually takes longer"
    return "under the frame answered it is not the cheapest"


def _unpinned(answered: Answered, preference: str) -> bool:
    spec = answered.cases[0].spec
    return spec.framing.post_size is None if preference == "post_size" else spec.foundation.method == "auto"


def _less(answered: Answered, granted: Granted) -> bool:
    ours, theirs = answered.figures, granted.outcome.figures
    if theirs is None or ours.cost is None or theirs.cost is None or theirs.cost >= ours.cost:
        return False
    slower = ours.days is not None and (theirs.days is None or theirs.days > ours.days)
    return not slower and STATUS_RANK[theirs.verdict] <= STATUS_RANK[ours.verdict]


def _offers(answered: Answered, number: int, sought: bool) -> Iterator[Offer[Frame]]:
    decision, ours = answered.decisions[number], answered.parts[number]
    for worked in _other_ways(decision, ours):
        yield _offer(answered, number, worked, f"The other way of support: {_way(worked)}.")
    if sought:
        yield from chain(_cheapest(answered, number), _bounded(answered, number))


def _way(worked: Worked) -> str:
    return "hung on the house" if worked.attached else "free-standing"


def _other_ways(decision: Decision, ours: Worked) -> Iterator[Worked]:
    """The other options; one that may not be built only where ours may not be either."""
    for option in decision.options:
        other = option.worked
        if other is not None and other is not ours and _may_be_told(other, ours):
            yield other


def _may_be_told(other: Worked, ours: Worked) -> bool:
    return other.verdict.status != "not_permitted" or ours.verdict.status == "not_permitted"


def _cheapest(answered: Answered, number: int) -> Iterator[Offer[Frame]]:
    """The cheapest frame, where another objective chose."""
    if answered.decisions[number].objective not in ("fewest_footings", "stiffness"):
        return
    found = _within(answered, answered.ways[number], Order("cost"))
    if found is not None:
        yield _offer(answered, number, found.worked, "The cheapest frame.")


def _within(answered: Answered, ways: Sequence[Way], order: Order) -> Framed | None:
    """The best frame of the fields there are; null too where enough was looked at beside the deck answered."""
    return best_within(ways, order, answered.judge, widen=False) if answered.judge.effort.allows() else None


def _bounded(answered: Answered, number: int) -> Iterator[Offer[Frame]]:
    """The best within bounds, of a level framed in one direction: parts are not weighed together."""
    ways = [way for way in answered.ways[number] if len(way.searches) == 1]
    objective: ObjectiveWord = "no_prices" if answered.currency is None else "cost"

    def seek(bound: Bound) -> Offer[Frame] | None:
        of_level = _of_level(answered, number, bound)
        found = _within(answered, ways, Order(objective, of_level.mask))
        return None if found is None else _offer(answered, number, found.worked)

    if ways:
        yield from bounded(answered.sawn, seek)


def _of_level(answered: Answered, number: int, bound: Bound) -> Bound:
    """A bound of the whole deck's footings as one of a level's: all but those a field counts stay as they are."""
    if bound.most_footings is None:
        return bound
    others = answered.figures.footings - answered.counted(number)
    return bound._replace(most_footings=bound.most_footings - others)
