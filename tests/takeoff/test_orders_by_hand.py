"""Whole orders counted by hand: a crew leader's arithmetic beside each line. Counts and allowances are those of
common practice unless a source is named; the members they are counted from are read off the report.
"""

from __future__ import annotations

import math
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest
from context import rulebooks
from order_decks import ordered

from service.contract.report import DesignReport
from service.contract.report_order import Takeoff
from service.framing.frame import Frame
from service.takeoff.order import take_off

HDG, SS = "hot_dip_galvanized", "stainless_steel"
PINE = "southern_pine.no_2"


def counted(report: DesignReport, coating: str = HDG) -> Takeoff:
    """The order of a report's members without prices: hardware in single pieces."""
    criteria: Any = SimpleNamespace(
        coating=coating, timber=None, rulebook=rulebooks()["irc-2021"], species="southern_pine", grade="no_2"
    )
    frame = Frame(report.levels, report.posts, report.footings, report.stairs)
    return take_off(frame, report.resolved_spec, criteria, None)


def pieces(order: Takeoff, start: str) -> dict[tuple[str, float], int]:
    """Pieces by item and length; of several with other cuts the sum."""
    found: dict[tuple[str, float], int] = {}
    for one in order.pieces:
        if one.item.startswith(start):
            found[one.item, one.length_in] = found.get((one.item, one.length_in), 0) + one.quantity
    return found


def hardware(order: Takeoff) -> dict[str, float]:
    return {line.item: line.quantity for line in order.hardware}


@pytest.fixture(scope="module")
def ledger_deck() -> Takeoff:
    """16 by 12 ft: joists 2x8 at 16 in on a ledger and a 2-2x8 beam on three posts, guards round it, five risers."""
    report = ordered("hand-counted")
    level = report.levels[0]
    assert (level.joists[0].count, level.joists[0].size) == (13, "2x8")
    assert (level.beams[0].size, level.beams[0].plies, len(report.posts)) == ("2x8", 2, 3)
    return counted(report)


def test_a_16_by_12_ledger_deck_lumber_and_posts(ledger_deck: Takeoff) -> None:
    order = ledger_deck
    assert pieces(order, "lumber") == {
        (f"lumber.2x8.{PINE}.uc3b", 141.0): 13,  # 144 less ledger and rim
        (f"lumber.2x8.{PINE}.uc3b", 192.0): 1,  # rim
        (f"lumber.2x8.{PINE}.uc4a", 192.0): 1 + 2,  # ledger, two plies: hard to replace
        # bays: ten of 16 - 1.5 and, at the ends, two of 16 - 0.75 - 1.5; one row in a span over 8 ft
        # stair opening posts at 5.85 and 10.15 ft: a block and a stub of 14.5 each
        (f"lumber.2x8.{PINE}.uc3b", 14.5): 10 + 2 + 2,
        (f"lumber.2x8.{PINE}.uc3b", 13.75): 2 + 6,  # and one behind each of three posts a side
        (f"lumber.2x12.{PINE}.uc4a", 50.375): 4,  # 42 cos a + 27.8 sin a, tan a = 7.2 / 10.5: 50.36
        (f"lumber.1x8.{PINE}.uc3b", 48.0): 5,  # closed risers: the stair climbs 36 in
        (f"lumber.2x4.{PINE}.uc4a", 48.0): 1,  # cleat at the foot
        (
            f"lumber.2x6.{PINE}.uc3b",
            14.0,
        ): 1,  # block between stringers 15.5 apart, behind the handrail's post
        # two rails a bay: posts at 0.25, 6 and 11.75 ft down each side; at 0.25 and 5.8542 ft beside the stair
        (f"lumber.2x4.{PINE}.uc3b", 65.5): 2 * 4,
        (f"lumber.2x4.{PINE}.uc3b", 63.75): 2 * 2,
    }
    assert pieces(order, "post") == {
        (f"post.6x6.{PINE}.uc4b", 16.5): 3,  # 36 - 1 - 7.25 - 7.25 - 3 = 17.5, less 1 in of stand-off
        (f"post.4x4.{PINE}.uc3b", 44.25): 10,  # 36 above the boards, 1 of board, 7.25 of joist
        (
            f"post.4x4.{PINE}.uc4b",
            48.0,
        ): 1,  # the handrail's lower post, 12 in on the stringer; the upper is the guard's
    }


def test_a_16_by_12_ledger_deck_boards_rails_and_flashing(ledger_deck: Takeoff) -> None:
    order = ledger_deck
    assert pieces(order, "decking") == {
        ("decking.5-4x6.wood", 192.0): 26,  # 144 / 5.625 = 25.6
        ("decking.5-4x6.wood", 48.0): 8,  # two boards a tread
    }
    # openings of 65.5 in: twelve leave (65.5 - 18) / 13 = 3.65, eleven 4.08; of 63.75: eleven leave 3.94, ten 4.43
    assert pieces(order, "guard.2x2.baluster") == {("guard.2x2.baluster.wood", 34.0): 4 * 12 + 2 * 11}
    nosings = 4 * math.hypot(10.5, 7.2)
    assert pieces(order, "guard.2x2.handrail") == {
        ("guard.2x2.handrail.wood", round((nosings + 6) * 16) / 16): 1
    }
    assert pieces(order, "ledger_flashing") == {
        (f"ledger_flashing.2x4in.{HDG}", 120.0): 1,
        (f"ledger_flashing.2x4in.{HDG}", 76.0): 1,  # 192 - 120, and a lap of 4
    }
    assert pieces(order, "form") == {("form.16in.tube", 35.0): 2, ("form.18in.tube", 35.0): 1}


def test_a_16_by_12_ledger_deck_hardware(ledger_deck: Takeoff) -> None:
    guards, blocks = 10, 2 + 2 + 6
    assert hardware(ledger_deck) == {
        f"lag_screw.1-2in.4in.{HDG}": 14,  # 15 in apart over 192, two rows together
        f"bolt.1-2in.6in.{HDG}": 2 * (guards + 1),
        f"washer.1-2in.{HDG}": 14 + 4 * (guards + 1),
        f"guard_post_connector.tension_1800lb.{HDG}": guards + 1,
        f"framing_angle.5in.{HDG}": 2 * (blocks + 1),
        # 26 rows on 13 joists; treads and risers on four stringers; rails and balusters
        f"decking_screw.no_8.2-1-2in.{HDG}": 2 * 26 * 13 + 2 * 4 * (8 + 5) + 4 * (12 + 70),
        # rim, plies (IRC R507.5: two rows at 16 in), blocks, hangers, bases and caps, cleat
        f"nail.10d.{HDG}": 3 * 13 + 2 * 13 + 6 * 22 + 12 * 13 + 12 * 6 + 3 * 4,
        f"nail.8d.{HDG}": 3 * 13,  # IRC Table R602.3(1), from memory: joist to girder 3-8d
        f"nail.10d_1-1-2in.{HDG}": 8 * 13 + 8 * 2 * (blocks + 1) + 12 * 4,
        f"joist_hanger.2x8.1ply.{HDG}": 11,
        f"joist_hanger.2x8.1ply.{HDG}.concealed_flange": 2,
        f"uplift_tie.1ply.{HDG}": 13,
        f"post_base.6x6.{HDG}": 3,
        f"post_cap.6x6.2ply.{HDG}": 3,
        f"lateral_device.1500lb.{HDG}": 2,  # IRC R507.9.2
        f"stringer_connector.sloped.{HDG}": 4,
        f"handrail_bracket.post.{HDG}": 2,
        f"anchor.1-2in.10in.{HDG}": 3,
        f"anchor.1-2in.5in.{HDG}": 2,
        "flashing_tape.4in.butyl": 1,  # 16 ft of a 50 ft roll
        "preservative.copper_naphthenate.1qt": 1,
    }  # fmt: skip


def test_a_16_by_12_ledger_deck_concrete(ledger_deck: Takeoff) -> None:
    # pi r2 h of two 16 in and one 18 in pier 35 in tall, and a pad 48 x 46.5 x 4
    volume = (math.pi * (2 * 8**2 + 9**2) * 35 + 48 * 46.5 * 4) / 1728
    (concrete,) = ledger_deck.concrete
    assert concrete.volume_cuft == pytest.approx(volume, abs=0.001)
    # bag_yields.csv: 0.45 cu ft a 60 lb bag, 0.6 an 80 lb one; a tenth more
    assert (concrete.item, concrete.quantity) == ("concrete.bag.60lb", math.ceil(volume * 1.1 / 0.45))
    (priced,) = ordered("hand-counted").takeoff.concrete
    assert (priced.item, priced.quantity) == ("concrete.bag.80lb", math.ceil(volume * 1.1 / 0.6))
    # 34 bags at 6.98 against the least load, 1 cu yd at 178.00, with the fee of 145.00 for less than 6 cu yd
    assert priced.because == (
        "bagged concrete costs less: 34 bags for 237.32 against 1 cu yd by truck with the short-load fee for 323.00"
    )


def test_cut_lengths_at_a_clipped_corner_by_trigonometry() -> None:
    """The edge runs from (144, 144) to (192, 96) in: x + y = 288. A rim 1.5 in thick lies inside it."""
    report = ordered("clipped-corner")
    order = counted(report)
    size = report.levels[0].joists[0].size
    joists = [piece for piece in order.pieces if piece.members == ("main.joists-1",) and size in piece.item]
    # the inner face of the rim is at x + y = 288 - 1.5 sqrt 2; a joist's long side is its side of smaller x
    inside = 288 - 1.5 * math.sqrt(2)
    cut = {round((inside - (centre - 0.75) - 1.5) * 16) / 16 for centre in (144.75, 160.0, 176.0, 191.25)}
    angled = [piece for piece in joists if piece.end_cuts[0].angle_deg]
    assert {piece.length_in for piece in angled} == cut
    assert {(piece.quantity, piece.end_cuts[0].kind, piece.end_cuts[0].angle_deg) for piece in angled} == {
        (1, "bevel", 45.0)
    }
    assert [(p.length_in, p.quantity) for p in joists if not p.end_cuts[0].angle_deg] == [(141.0, 10)]
    # Along the clipped edge 48 sqrt 2 outside; at the side its inner face runs on by its thickness, at the other
    # rim both are mitred by half of 45 degrees.
    (rim,) = (piece for piece in order.pieces if "main.rim-1" in piece.members)
    assert rim.length_in == round((48 * math.sqrt(2) + 1.5) * 16) / 16
    assert sorted(abs(end.angle_deg) for end in rim.end_cuts) == [22.5, 45.0]
    # Every board is 5.625 in farther from the house and as much shorter; its cut end is at 45 degrees.
    boards = sorted(p.length_in for p in order.pieces if p.item.startswith("decking") and p.length_in < 192)
    assert {round(b - a, 4) for a, b in pairwise(boards)} == {5.625}


def test_an_l_is_counted_part_by_part() -> None:
    """24 by 10 ft with 12 by 16 ft at its left: joists of two lengths on one ledger of 24 ft."""
    order = counted(ordered("l-round-a-corner"))
    metal = hardware(order)
    # 24 ft at 16 in: 18 spaces, 19 joists, one more where the parts meet; 16 ft less 3 in, and 10 ft less 3 in
    joists = {(f"lumber.2x10.{PINE}.uc3b", 189.0): 10, (f"lumber.2x10.{PINE}.uc3b", 117.0): 10}
    assert joists.items() <= pieces(order, "lumber").items()
    assert metal[f"joist_hanger.2x10.1ply.{HDG}"] == 18
    assert metal[f"joist_hanger.2x10.1ply.{HDG}.concealed_flange"] == 2
    # a tie on each beam, and at the ledger where ten joists run out past theirs
    assert metal[f"uplift_tie.1ply.{HDG}"] == 20 + 10
    # a ledger of 288 in is butted in the middle: more than 20 ft is not sold
    assert pieces(order, f"lumber.2x10.{PINE}.uc4a") == {(f"lumber.2x10.{PINE}.uc4a", 144.0): 2}
    assert metal[f"post_base.6x6.{HDG}"] == metal[f"post_cap.6x6.2ply.{HDG}"] == 4
    # 288 in of flashing in lengths of 10 ft that lap 4 in: 120, 120, 56
    flashing = pieces(order, "ledger_flashing")
    assert sum(length * count for (_, length), count in flashing.items()) == 288 + 2 * 4


def test_a_freestanding_deck_on_helical_piles_near_salt_water() -> None:
    """Six piles under two beams, two more under the beam of a stair that leaves by the side; all metal stainless."""
    order = counted(ordered("helical-freestanding-near-salt"), SS)
    metal = hardware(order)
    assert not [item for item in metal if HDG in item]
    piles = sum(count for item, count in metal.items() if item.startswith("helical_pile"))
    assert (piles, metal[f"pile_cap.round_2-7-8in.6x6.{SS}"]) == (8, 8)
    # a lead of 7 ft, then extensions of 5 ft: piles of 9 and 10 ft take one, the stair's of 7 ft none
    assert metal["pile_extension.round_2-7-8in.5ft"] == 6
    assert not [
        item for item in metal if item.startswith(("post_base", "anchor.1-2in.10in", "joist_hanger", "lag"))
    ]
    # 16 joists on two beams, four stringers on the stair's
    assert metal[f"uplift_tie.1ply.{SS}"] == 2 * 16 + 4
    # solid stringers: seven treads in three bays between four, two brackets each
    assert metal[f"stringer_connector.tread_bracket.{SS}"] == 7 * 3 * 2
    # the flight is 90.3 in along its nosings: two bays; of six posts the upper two are the level's own
    stair = [piece for piece in order.pieces if "deck.stair-1" in piece.members]
    assert {p.item: p.quantity for p in stair if p.item.startswith("post.4x4")} == {
        f"post.4x4.{PINE}.uc3b": 2, f"post.4x4.{PINE}.uc4b": 2,
    }  # fmt: skip
    bay, angle = 7 * math.hypot(10.5, 7.5) / 2, math.atan2(7.5, 10.5)
    rail = bay - 3.5 / math.cos(angle) + 3.5 * math.tan(angle)
    (found,) = (p for p in stair if p.item.startswith("lumber.2x4") and p.end_cuts[0].angle_deg)
    assert (found.length_in, found.quantity) == (round(rail * 16) / 16, 2 * 2 * 2)
    assert [(end.kind, end.angle_deg) for end in found.end_cuts] == [("miter", 35.5), ("miter", -35.5)]
    # two borders: a 2x6 laid flat under the ends of the boards, down each side
    assert pieces(order, f"lumber.2x6.{PINE}.uc3b")[f"lumber.2x6.{PINE}.uc3b", 164.0] == 2
    # only the pad at the stair's foot is poured
    assert [line.item for line in order.concrete] == ["concrete.bag.60lb"]


def test_a_stair_with_a_landing_whole() -> None:
    """168 in up: two flights of eleven risers and a framed landing between them."""
    order = counted(ordered("landing-stair"))
    metal = hardware(order)
    assert pieces(order, "lumber.1x8") == {(f"lumber.1x8.{PINE}.uc3b", 48.0): 22}
    # only what stands on the ground is treated for it
    assert pieces(order, "lumber.2x12") == {
        (f"lumber.2x12.{PINE}.uc3b", 142.8125): 4, (f"lumber.2x12.{PINE}.uc4a", 142.8125): 4,
    }  # fmt: skip
    # a cleat at the foot of each flight: screwed to the landing's boards, anchored to the pad
    cleats = {key: count for key, count in pieces(order, "lumber.2x4").items() if key[1] == 48.0}
    assert cleats == {(f"lumber.2x4.{PINE}.uc3b", 48.0): 1, (f"lumber.2x4.{PINE}.uc4a", 48.0): 1}
    assert (metal[f"structural_screw.1-4in.4in.{HDG}"], metal[f"anchor.1-2in.5in.{HDG}"]) == (2 * 4, 2)
    assert metal[f"stringer_connector.sloped.{HDG}"] == 8
    assert metal[f"stringer_connector.tread_bracket.{HDG}"] == 2 * 10 * 3 * 2
    # each flight is 129.8 in along its nosings, two bays: three posts a side. Upper: the first is the level's, the
    # last the landing's; lower: the first is the landing's. The landing has two a side.
    assert pieces(order, "post.4x4") == {
        (f"post.4x4.{PINE}.uc3b", 48.0): 2 + 2, (f"post.4x4.{PINE}.uc4b", 48.0): 2,
        (f"post.4x4.{PINE}.uc3b", 44.25): 10 + 4,
    }  # fmt: skip
    assert metal[f"guard_post_connector.tension_1800lb.{HDG}"] == 20
    # boards: two a tread, nine on the landing: 46 in of frame over joists of 43 in
    assert pieces(order, "decking")["decking.5-4x6.wood", 48.0] == 2 * 20 + 9
    # a handrail in one piece, returned 3 in at each end (IRC R311.7.8.4: continuous)
    handrail = round((10 * math.hypot(10.5, 168 / 22) + 6) * 16) / 16
    assert pieces(order, "guard.2x2.handrail")["guard.2x2.handrail.wood", handrail] == 4
