"""The frame answered, posted back with everything pinned that can be pinned: the same frame, at the same cost.

From the top of the project, `PYTHONPATH=.:tests python -m choice.pinned 300` does so for that many decks of any space.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random  # noqa: TID251 - seeded: the same decks on every run
from typing import Any

from choice.brute_decks import Deck, case_of, deck_of

from service.choice.level.worked import Worked
from service.choice.search.decide import decide

PINNED = ("joist_size", "joist_spacing_in", "beam_size", "beam_plies", "post_size")


@dataclass
class Again:
    """How one deck came out, and what is different when it is posted back."""

    deck: Deck
    status: str = "none"
    proven: bool = False
    wrong: list[str] = field(default_factory=list)


def free_deck(seed: int) -> Deck:
    """Return the deck of a seed with most of its pins left out, every third round a corner.

    One that is to be stiff has a ceiling: a tenth over the cheapest is another limit among fewer frames.
    """
    deck, pick = deck_of(seed), Random(seed)  # noqa: S311 - no secret
    framing = {
        name: value
        for name, value in deck.given["framing"].items()
        if name not in PINNED or pick.random() < 0.25
    }
    if pick.random() < 0.5:
        framing |= {"joist_direction": "auto", "attachment": "auto"}
    if pick.random() < 0.6:
        framing["beam_placement"] = "auto"
    if framing["objective"] == "stiffness":
        framing.setdefault(
            "cost_ceiling", {"currency": "USD", "amount": pick.choice(("2600.00", "4500.00", "7000.00"))}
        )
    given = {**deck.given, "framing": framing}
    if seed % 3 == 0:
        given["levels"] = [_l_shaped(deck.given["levels"][0], pick)]
    return Deck(seed, deck.place, deck.priced, given)


def _l_shaped(level: dict[str, Any], pick: Random) -> dict[str, Any]:
    """The level with a corner of the yard side cut out."""
    wide, deep = float(level["width_ft"]), float(level["projection_ft"])
    x, y = round(wide * pick.choice((0.5, 0.6)), 1), round(deep * pick.choice((0.5, 0.7)), 1)
    outline = [[0, 0], [wide, 0], [wide, y], [x, y], [x, deep], [0, deep]]
    return {"outline_ft": outline, "house_edges": [0], "surface_height_in": level["surface_height_in"]}


def pinned_to(deck: Deck, chosen: Worked) -> dict[str, Any]:
    """Return the spec with everything of the frame pinned that a spec can pin."""
    layout = chosen.layout
    framing: dict[str, Any] = {
        **deck.given["framing"],
        "attachment": "ledger" if chosen.attached else "freestanding",
        "joist_direction": layout.region.axes.direction,
        "joist_size": layout.joist_size,
        "joist_spacing_in": layout.spacing_in,
        "beam_size": layout.beam_size,
        "beam_plies": layout.beam_plies,
        "beam_placement": layout.placement,
        "post_size": layout.post_size,
    }
    method = chosen.method.method if chosen.method else "auto"
    return {**deck.given, "framing": framing, "foundation": {"method": method}}


def again(deck: Deck) -> Again:
    """Post a deck, and post its frame back."""
    decision = decide(case_of(deck))
    first = decision.chosen
    if first is None:
        return Again(deck)
    proven = decision.found is not None and decision.found.proven
    found = Again(deck, first.verdict.status, proven)
    if len(first.levels[0].layouts) > 1:
        return found  # joists of two directions can't be pinned
    second = decide(case_of(deck, pinned_to(deck, first))).chosen
    found.wrong = list(_different(first, second))
    return found


def _different(first: Worked, second: Worked | None) -> Iterator[str]:
    if second is None:
        yield "no frame"
        return
    if second.verdict.status != first.verdict.status:
        yield f"{first.verdict.status} becomes {second.verdict.status}: {[r.text for r in second.verdict.reasons]}"
    if first.verdict.status == "not_permitted":
        return  # nothing with these pins stands: which of the failing ones is answered is no promise
    one, other = first.price, second.price
    if one and other and one.total != other.total:
        yield f"it is compared by {one} and then by {other}"
    if first.cost != second.cost:
        yield f"it costs {first.cost} and then {second.cost}"
    failing = [sorted(f.id for f in w.judged.findings if not f.passes) for w in (first, second)]
    if failing[0] != failing[1]:
        yield f"checks that fail: {failing[0]} and then {failing[1]}"


def every(count: int, first: int = 0) -> Iterator[Again]:
    """Yield so many decks that get a frame."""
    seed, done = first, 0
    while done < count:
        found = again(free_deck(seed))
        seed += 1
        if found.status != "none":
            done += 1
            yield found


def main(count: int, first: int = 0) -> int:
    """Post, post back, and print; return 1 where anything is different."""
    found = []
    for one in every(count, first):
        found.append(one)
        for said in one.wrong:
            sys.stdout.write(f"seed {one.deck.seed} {one.deck.given}:\n  {said}\n")
        sys.stdout.flush()
    wrong = sum(bool(one.wrong) for one in found)
    statuses = dict(Counter(one.status for one in found))
    sys.stdout.write(
        f"{len(found)} decks posted back: {statuses}; {sum(one.proven for one in found)} told as proven; "
        f"{wrong} come out different\n"
    )
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(*(int(word) for word in sys.argv[1:3])))
