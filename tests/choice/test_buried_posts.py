"""A post on a pad in the ground: as long as it then is, judged so, in the order so; other posts as they were."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import msgspec
import pytest
from context import context, designed, spec_of

from service.checks.judged import Judged
from service.choice.level.buried import sunk
from service.choice.level.cases import cases_of
from service.choice.level.level_work import LevelWork
from service.choice.level.worked import Worked, based, groundwork_of, work_deck
from service.choice.search.decide import best_frame
from service.contract.report_frame import Concrete
from service.foundations.method import Sized
from service.sizing.resolve import criteria_of, resolve_spec

HOUSE = {
    "wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25, "floor_joist_direction": "toward_deck",
}  # fmt: skip
DEEP_IN, PAD_IN = 32.0, 8.0


def worked(surface_in: float = 36, **given: Any) -> Worked:
    where = context("alder-county")
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": surface_in}
    house = {**HOUSE, "door_sill_height_in": surface_in + 1.5}
    spec = spec_of(**{"jurisdiction": "alder-county", "house": house, "levels": [level], **given})
    resolved = resolve_spec(spec, where.rulebook, where.jurisdiction, "brindlemoor-yard@4", where.as_of)
    criteria = criteria_of(resolved, where.rulebook, where.guide, where.jurisdiction, where.timber)
    found = best_frame(cases_of(resolved, where, criteria)[0], "ledger")
    assert found is not None
    return found


def on_pads(work: LevelWork) -> tuple[Sized, ...]:
    """Every footing of a level as a pad 8 in thick, its bottom 32 in under grade, with a post on it."""
    pad = Concrete(
        shape="square", shaft_diameter_in=None, base_shape="square", base_size_in=20.0, thickness_in=PAD_IN,
        depth_below_grade_in=DEEP_IN, volume_cuft=20 * 20 * 8 / 1728,
    )  # fmt: skip
    piers = worked_of(work).method
    assert piers is not None
    return tuple(
        replace(
            one,
            footing=msgspec.structs.replace(
                one.footing, method="post_on_buried_pad", concrete=pad, pile=None,
                top_height_in=one.demand.grade_height_in - DEEP_IN + PAD_IN,
                bottom_height_in=one.demand.grade_height_in - DEEP_IN, exposed_in=0.0,
            ),
        )
        for one in piers.sized
    )  # fmt: skip


def worked_of(work: LevelWork) -> Worked:
    return work_deck((work,))


def heights(judged: Judged, post: str) -> list[float | None]:
    return [one.demand for one in judged.findings if (one.member, one.check) == (post, "post_height")]


def test_a_post_goes_down_to_its_pad() -> None:
    (work,) = worked().levels
    sized = on_pads(work)
    (down,) = sunk((work,), sized)
    assert [one.id for one in down.posts] == [one.id for one in work.posts] != []
    for before, after in zip(work.posts, down.posts, strict=True):
        # from 3 in over grade to the top of the pad, 24 in under it; no stand-off any more
        assert after.height_in == before.height_in + 3 + (DEEP_IN - PAD_IN)
        assert after.cut_length_in == after.height_in == before.cut_length_in + 1 + 27
        assert after.base is None


def test_its_checks_are_those_of_its_whole_length() -> None:
    """Tables of post heights measure from the top of the footing (IRC R507.4)."""
    (work,) = worked().levels
    (down,) = sunk((work,), on_pads(work))
    assert len(down.judged.findings) == len(work.judged.findings)
    for post in down.posts:
        assert heights(down.judged, post.id) == [post.height_in]
    strength = {
        name: [one.ratio for one in judged.findings if one.check == "post_compression"]
        for name, judged in (("pier", work.judged), ("pad", down.judged))
    }
    assert all(b >= a for a, b in zip(strength["pier"], strength["pad"], strict=True))
    untouched = ("post_height", "post_compression")
    assert [one for one in down.judged.findings if one.check not in untouched] == [
        one for one in work.judged.findings if one.check not in untouched
    ]


def test_a_post_that_stands_on_a_pier_may_be_too_tall_on_a_pad() -> None:
    """A 4x4 that the table lets stand just so high over its pier fails by the 27 in it is longer on a pad."""
    tall = worked(surface_in=157, framing={"post_size": "4x4"})
    (work,) = tall.levels
    passes = {one.member: one.passes for one in work.judged.findings if one.check == "post_height"}
    (down,) = sunk((work,), on_pads(work))
    after = {one.member: one.passes for one in down.judged.findings if one.check == "post_height"}
    assert set(passes) == set(after)
    assert any(passes[name] and not after[name] for name in passes)
    failing = [one for one in down.judged.findings if one.check == "post_height" and not one.passes]
    assert all(one.would_pass for one in failing)


def test_a_post_past_every_table_on_a_pad_asks_for_an_engineer() -> None:
    """No table has a post over 14 ft; 151 in over a pier is 178 in over a pad."""
    (work,) = worked(surface_in=168, framing={"post_size": "4x4"}).levels
    (down,) = sunk((work,), on_pads(work))
    codes = [{one.code for one in judged.reasons} for judged in (work.judged, down.judged)]
    assert "post_above_table" in codes[1] - codes[0]


def test_no_pad_changes_nothing() -> None:
    found = worked()
    assert found.method is not None
    assert sunk(found.levels, found.method.sized) == found.levels


@pytest.mark.parametrize(
    ("method", "base"),
    [("post_on_buried_pad", None), ("pier_block_on_grade", None), ("pad_and_pier", "kept")],
)
def test_what_holds_a_post_at_its_foot(method: str, base: str | None) -> None:
    found = worked()
    posts = tuple(msgspec.structs.replace(one, base="kept") for one in found.frame.posts)
    footings = tuple(msgspec.structs.replace(one, method=method, pile=None) for one in found.frame.footings)
    assert {one.base for one in based(posts, footings, "hot_dip_galvanized")} == {base}


def test_what_a_deck_costs_counts_every_line_once() -> None:
    """Order and footing work share goods and hire; beyond the order come work bought in, fees, wages and days."""
    crew = {"currency": "USD", "hourly_rate": "48.00", "crew_day_value": "1450.00"}
    for method in ("tube_form_pier", "helical_pile", "post_on_buried_pad"):
        found = worked(foundation={"method": method}, crew=crew)
        assert found.method is not None
        assert found.method.cost is not None
        assert found.cost is not None
        assert found.takeoff.subtotal is not None
        hired = [line for line in found.method.lines if line.item.startswith("rental.")]
        assert groundwork_of(found.method).rentals == tuple((line.item, line.quantity) for line in hired)
        in_order = {line.item: line.extended for line in found.takeoff.groundwork}
        for line in hired:
            amount = in_order[line.item]
            assert amount is not None
            assert amount.amount == f"{line.extended:.2f}"
        ordered = {x.item for x in (*found.takeoff.hardware, *found.takeoff.concrete, *found.takeoff.stock)}
        beyond = [x for x in found.method.lines if x.item not in ordered | set(in_order)]
        assert {x.item.partition(".")[0] for x in beyond} <= {"service", "fee"}
        goods = sum(x.extended for x in found.method.lines if x.extended is not None)
        work = found.method.cost.likely - goods
        expected = sum((x.extended for x in beyond if x.extended is not None), work)
        subtotal = Decimal(found.takeoff.subtotal.amount)
        assert found.cost - subtotal == pytest.approx(expected, abs=Decimal("0.005"))


def test_a_buried_post_is_judged_once_and_by_its_own_name() -> None:
    """The method has its own word on it, for its status; a design says it of the post alone."""
    found = worked(foundation={"method": "post_on_buried_pad"})
    said = [one.member for one in found.judged.findings if one.check == "post_height"]
    assert sorted(said) == sorted(one.id for one in found.frame.posts)
    assert found.method is not None
    assert all(any(f.check == "post_height" for f in one.findings) for one in found.method.sized)


def test_a_whole_deck_has_its_posts_down_to_their_pads() -> None:
    """What is answered: heights, cut lengths, checks and order of one deck, 32 in of frost under it."""
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}
    asked = {"house": HOUSE, "levels": [level], "foundation": {"method": "post_on_buried_pad"}}
    report = designed(spec_of(jurisdiction="alder-county", **asked), context("alder-county"))
    bottoms = {beam.id: beam.bottom_height_in for beam in report.levels[0].beams}
    pads = {one.post: one for one in report.footings if one.method == "post_on_buried_pad"}
    assert len(pads) == len(report.posts) > 1
    for post in report.posts:
        tall_in = bottoms[post.beam] - pads[post.id].top_height_in
        assert post.height_in == pytest.approx(tall_in)
        assert pads[post.id].top_height_in < -12
        judged = [one.demand for one in report.checks if (one.member, one.check) == (post.id, "post_height")]
        assert judged == [pytest.approx(tall_in)]
        cut = [one.length_in for one in report.takeoff.pieces if post.id in one.members]
        assert cut == [pytest.approx(post.cut_length_in, abs=1 / 16)]
        assert post.base is None
