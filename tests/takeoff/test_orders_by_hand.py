"""Whole orders counted by hand: a crew leader's arithmetic beside each line. Counts and allowances are those of
common practice unless a source is named; the members they are counted from are read off the report.
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from order_decks import ordered

from service.contract.report import DesignReport
from service.contract.report_order import Takeoff
from service.framing.frame import Frame
from service.takeoff.order import take_off

HDG, SS = "hot_dip_galvanized", "stainless_steel"
PINE = "southern_pine.no_2"


def counted(report: DesignReport, coating: str = HDG) -> Takeoff:
    """The order of a report's members without prices: hardware in single pieces."""
    criteria: Any = SimpleNamespace(coating=coating, timber=None, species="southern_pine", grade="no_2")
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


def test_a_16_by_12_ledger_deck_line_by_line() -> None:
    """Joists 2x8 at 16 in on a ledger and a 2-2x8 beam on three posts, guards round it, a stair of five risers."""
    report = ordered("hand-counted")
    level = report.levels[0]
    assert (level.joists[0].count, level.joists[0].size, level.beams[0].plies, len(report.posts)) == (
        13,
        "2x8",
        2,
        3,
    )
    order = counted(report)
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
    guards, blocks = 10, 2 + 2 + 6
    assert hardware(order) == {
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
    # pi r2 h of two 16 in and one 18 in pier 35 in tall, and a pad 48 x 46.5 x 4
    volume = (math.pi * (2 * 8**2 + 9**2) * 35 + 48 * 46.5 * 4) / 1728
    (concrete,) = order.concrete
    assert concrete.volume_cuft == pytest.approx(volume, abs=0.001)
    # bag_yields.csv: 0.45 cu ft a 60 lb bag, 0.6 an 80 lb one; a tenth more
    assert (concrete.item, concrete.quantity) == ("concrete.bag.60lb", math.ceil(volume * 1.1 / 0.45))
    (priced,) = report.takeoff.concrete
    assert (priced.item, priced.quantity) == ("concrete.bag.80lb", math.ceil(volume * 1.1 / 0.6))
    # 34 bags at 6.98 against the least load, 1 cu yd at 178.00, with the fee of 145.00 for less than 6 cu yd
    assert priced.because == (
        "bagged concrete costs less: 34 bags for 237.32 against 1 cu yd by truck with the short-load fee for 323.00"
    )
