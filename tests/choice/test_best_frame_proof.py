"""Nothing in the space of a random deck is better than the frame answered, by plain search through all of it.

`PYTHONPATH=.:tests python -m choice.brute 300` does so for 300 decks.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import pairwise

import pytest
from choice.brute import MOST_FRAMES, Brute, Proof, proofs, wrong
from choice.brute_decks import PLACES, case_of, deck_of
from choice.brute_price import plies_of
from choice.brute_shop import shared
from choice.brute_space import post_places

from service.choice.level.worked import work_out
from service.framing.beam_lines import ply_splices

DECKS = 30


@cache
def found() -> tuple[Proof, ...]:
    return tuple(proofs(DECKS))


def test_no_frame_of_the_space_is_better() -> None:
    said = [f"seed {one.deck.seed}: {text}" for one in found() for text in one.wrong]
    assert not said, "\n".join(said)


def test_the_decks_are_of_every_kind() -> None:
    """Spaces that are small or all alike would prove nothing."""
    decks = [one.deck.given for one in found()]
    framing = [one["framing"] for one in decks]
    assert {one["jurisdiction"] for one in decks} == set(PLACES)
    assert {one["attachment"] for one in framing} == {"ledger", "freestanding"}
    assert {one["objective"] for one in framing} == {"cost", "fewest_footings", "stiffness"}
    assert {one["joist_direction"] for one in framing} == {"away_from_house", "along_house"}
    assert {"crew" in one for one in decks} == {bool(one["site"]) for one in decks} == {True, False}
    assert sum(one.space for one in found()) > 5000
    assert all(0 < one.space <= MOST_FRAMES for one in found())
    assert sum(one.status == "prescriptive" for one in found()) > DECKS / 3
    assert sum(one.proven for one in found()) > DECKS / 2


def test_a_dearer_frame_is_found_out() -> None:
    """The search can fail: a frame that stands and costs more, answered in place of the best, is told."""
    seed = next(
        one.deck.seed for one in found()
        if one.status == "prescriptive" and one.space > 100 and one.deck.given["framing"]["objective"] == "cost"
    )  # fmt: skip
    brute = Brute(deck_of(seed))
    best, _ = brute.answered()
    assert best is not None
    assert best.price is not None
    for frame in brute.frames:
        known = brute.known(frame)
        if known.total > best.price.total and frame.interior == 0 and brute.stands(frame) == (0, 0):
            break
    else:
        pytest.fail("no other frame stands")
    worse = work_out(brute.case, (frame.layout,))
    parts = {"lumber": known.priced.lumber, "hardware": known.priced.hardware, "labour": known.priced.labour}
    price = best.price._replace(footings=known.footings or 0, **parts)
    said = list(wrong(brute, replace(worse, price=price, deflection_in=known.deflection_in)))
    assert said
    assert all("stands" in text for text in said)
    cheaper = replace(worse, price=price._replace(lumber=price.lumber - 1), deflection_in=known.deflection_in)
    assert any("by hand" in text for text in wrong(brute, cheaper))


def test_the_space_by_hand() -> None:
    """A 6 ft deck on a ledger, one size of each: cantilevers of 0, 12, ... as the depth lets, all posts at one row.

    72 in deep: the row may stand 1.5, 12, 18, ... 48 in inside the far face, 8 places, with no row between.
    """
    given = {
        "jurisdiction": "alder-county",
        "levels": [{"width_ft": 10, "projection_ft": 6, "surface_height_in": 40}],
        "house": {"wall": "wood_band", "door_sill_height_in": 41.5},
        "framing": {
            "attachment": "ledger", "joist_direction": "away_from_house", "joist_size": "2x8",
            "joist_spacing_in": 16, "beam_size": "2x8", "beam_plies": 2, "beam_placement": "dropped",
            "post_size": "6x6", "objective": "cost",
        },
    }  # fmt: skip
    deck = replace(deck_of(0), place="alder-county", priced=True, given=given)
    brute = Brute(deck)
    rows = {frame.rows.at_in for frame in brute.frames if frame.interior == 0}
    assert rows == {(70.5,), *((72.0 - past,) for past in (12, 18, 24, 30, 36, 42, 48))}
    assert case_of(deck).space.joist_sizes == ("2x8",)
    posts = {frame.posts for frame in brute.frames if frame.rows.at_in == (70.5,)}
    assert ((3.0, 60.0, 117.0),) in posts
    assert ((12.0, 60.0, 108.0),) in posts
    assert len(posts) <= 15  # five overhangs, three counts


def test_own_arithmetic_of_boards_and_posts() -> None:
    """By hand: a 16 ft board at 15.00 gives two pieces of 7 ft 11 in, a 12 ft one at 10.00 only one."""
    offers = [(16.0, Decimal(15)), (12.0, Decimal(10))]
    assert shared(offers, 95.0) == Decimal("7.5000")
    assert shared(offers, 97.0) == Decimal("10.0000")
    assert shared([(8.0, Decimal(9))], 97.0) is None
    assert post_places(193.0, 3, 12.0, 12.0) == (12.0, 97.0, 181.0)


@pytest.mark.parametrize(("length_in", "plies"), [(300.0, 2), (360.0, 2), (360.0, 3), (400.0, 3)])
def test_boards_of_plies_are_joined_as_seldom(length_in: float, plies: int) -> None:
    """The very boards that the rule for splices gives, ties among them, worked out apart."""
    posts = post_places(length_in, 6, 12.0, 12.0)
    joints = ply_splices(length_in, posts, plies, 240.0)
    assert joints is not None
    boards = plies_of(length_in, posts, plies, 240.0)
    ends = [[0.0, *(posts[at] for at in ply), length_in] for ply in joints]
    assert boards == [[b - a for a, b in pairwise(ply)] for ply in ends]
    assert all(sum(ply) == pytest.approx(length_in) for ply in boards)


def test_of_ways_with_as_few_joints_the_first_told_is_taken() -> None:
    """Three plies of 12 ft boards over six posts between the ends: the earliest joint is of the first ply."""
    posts = (0.0, 34.0, 69.0, 103.0, 138.0, 172.0, 207.0, 241.0)
    assert ply_splices(241.0, posts, 3, 144.0) == [(1, 5), (3,), (4,)]
    assert plies_of(241.0, posts, 3, 144.0) == [[34.0, 138.0, 69.0], [103.0, 138.0], [138.0, 103.0]]
