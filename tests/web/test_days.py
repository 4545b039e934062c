"""The day of a design chooses its rules; a version pinned for another day is used, and never answered with a yes."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from functools import cache

import msgspec
import pytest

from service.app import bundled_snapshot, make_desk
from service.contract.report import DesignReport
from service.pipeline import design
from service.store.snapshot import Days, Shelf, Snapshot
from service.web.desk import Desk
from service.web.resolve import context_of, read_spec

CHANGE = dt.date(2027, 3, 1)
BEFORE = CHANGE - dt.timedelta(days=1)
SPEC = {
    "jurisdiction": "alder-county",
    "house": {
        "wall": "wood_band",
        "door_sill_height_in": 37.5,
        "rim_depth_in": 11.25,
        "floor_joist_direction": "toward_deck",
    },
    "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 36}],
}


@cache
def desk() -> Desk:
    """The bundled rules, and from a day on a second version of a rulebook and of a place."""
    snapshot = bundled_snapshot()
    book = snapshot.rulebooks.versions["irc-2021", 1]
    place = snapshot.jurisdictions.versions["alder-county", 1]
    deeper = msgspec.structs.replace(place.site, frost_depth_in=48.0)
    changed: Snapshot = replace(
        snapshot,
        rulebooks=_followed(snapshot.rulebooks, replace(book, version=2)),
        jurisdictions=_followed(
            snapshot.jurisdictions, msgspec.structs.replace(place, version=2, site=deeper, digest="2" * 64)
        ),
    )
    return make_desk(changed, clock=lambda: dt.datetime(2026, 11, 28, 12, tzinfo=dt.UTC))


def _followed(shelf: Shelf, second) -> Shelf:
    first = (second.id, 1)
    days = {**shelf.days, first: Days(None, CHANGE), (second.id, 2): Days(CHANGE, None)}
    versions = {**shelf.versions, (second.id, 2): second}
    states = {**shelf.states, (second.id, 2): "announced"}
    return Shelf(shelf.sort, versions, states, {}, days)


def answered(**said: object) -> DesignReport:
    spec = read_spec(json.dumps({**SPEC, **said}).encode(), desk())
    return design(spec, context_of(spec, desk()), with_wishes=False)


@pytest.mark.parametrize(("as_of", "version", "frost_in"), [(BEFORE, 1, 32.0), (CHANGE, 2, 48.0)])
def test_the_day_chooses_the_versions_of_rulebook_and_place(as_of, version, frost_in) -> None:
    report = answered(as_of=as_of.isoformat())
    assert (report.rulebook.version, report.jurisdiction.version) == (version, version)
    assert report.resolved_spec.site.frost_depth_in == frost_in
    assert report.verdict.status == "prescriptive"


def test_without_a_day_what_is_announced_has_no_effect() -> None:
    report = answered()
    assert (report.as_of, report.rulebook.version, report.jurisdiction.version) == (
        "2026-11-28",
        1,
        1,
    )


@pytest.mark.parametrize(
    ("said", "as_of", "named"),
    [
        ({"rulebook": "irc-2021@2"}, BEFORE, "irc-2021@2"),
        ({"rulebook": "irc-2021@1"}, CHANGE, "irc-2021@1"),
        ({"jurisdiction": "alder-county@2"}, BEFORE, "alder-county@2"),
        ({"jurisdiction": "alder-county@1"}, CHANGE, "alder-county@1"),
    ],
)
def test_a_version_pinned_for_a_day_it_is_not_in_force_on_is_an_engineers(said, as_of, named) -> None:
    report = answered(**said, as_of=as_of.isoformat())
    assert report.verdict.status == "engineer_required"
    (reason,) = [one for one in report.verdict.reasons if one.code == "rulebook_not_in_force"]
    assert reason.text == f"{named} is not in force on that day."


@pytest.mark.parametrize("as_of", [BEFORE, CHANGE])
def test_the_version_in_force_may_be_pinned_and_posted_back(as_of) -> None:
    """The resolved spec of an answer pins what it was answered by, and gives the same design."""
    report = answered(as_of=as_of.isoformat())
    back = msgspec.json.encode(report.resolved_spec)
    spec = read_spec(back, desk())
    again = design(spec, context_of(spec, desk()), with_wishes=False)
    assert again.design_id == report.design_id
    assert again.verdict.status == "prescriptive"


def test_a_design_by_what_is_not_in_force_is_another_design() -> None:
    """Days can change until they come; the same id has the same answer all the same."""
    spec = read_spec(
        json.dumps({**SPEC, "rulebook": "irc-2021@1", "as_of": BEFORE.isoformat()}).encode(), desk()
    )
    inside = context_of(spec, desk())
    outside = replace(inside, rulebook=replace(inside.rulebook, out_of_force=("irc-2021@1",)))
    ids = {design(spec, context, with_wishes=False).design_id for context in (inside, outside)}
    assert len(ids) == 2
