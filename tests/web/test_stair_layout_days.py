"""A stair layout by a version not in force today is never a plain yes, and every one sends people to the place."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace

import pytest
from web.test_days import BEFORE, CHANGE, desk

from service.contract.spec_stairs import StairLayoutSpec
from service.store.snapshot import Shelf
from service.web.desk import Desk
from service.web.stair_layouts import _work

TALL = [7.25, 7.25, 7.75]


def on(day: dt.date) -> Desk:
    return replace(desk(), clock=lambda: dt.datetime.combine(day, dt.time(12), dt.UTC))


def withdrawn() -> Desk:
    """The second version is never in force."""
    shelf = desk().snapshot.rulebooks
    days = {key: value for key, value in shelf.days.items() if key != ("irc-2021", 2)}
    states = {**shelf.states, ("irc-2021", 2): "withdrawn"}
    kept = Shelf(shelf.sort, shelf.versions, states, shelf.damaged, days, shelf.published)
    return replace(on(CHANGE), snapshot=replace(desk().snapshot, rulebooks=kept))


def answered(where: Desk, **said: object) -> dict:
    return json.loads(_work(StairLayoutSpec(**{"total_rise_in": 34.0, **said}), where))


def reasons(answer: dict) -> list[str]:
    return [one["text"] for one in answer["verdict"]["reasons"] if one["code"] == "rulebook_not_in_force"]


@pytest.mark.parametrize(
    ("where", "pin"),
    [(on(BEFORE), "irc-2021@2"), (on(CHANGE), "irc-2021@1"), (withdrawn(), "irc-2021@2")],
    ids=["announced", "superseded", "withdrawn"],
)
def test_a_version_pinned_that_is_not_in_force_is_an_engineers(where: Desk, pin: str) -> None:
    answer = answered(where, rulebook=pin)
    assert answer["verdict"]["status"] == "engineer_required"
    assert reasons(answer) == [f"{pin} is not in force on that day."]


@pytest.mark.parametrize(("day", "version"), [(BEFORE, 1), (CHANGE, 2)])
def test_the_version_in_force_is_a_plain_answer(day: dt.date, version: int) -> None:
    for said in ({"rulebook": "irc-2021"}, {"rulebook": f"irc-2021@{version}"}, {}):
        answer = answered(on(day), **said)
        assert answer["verdict"] == {"status": "prescriptive", "reasons": []}


def test_risers_that_are_not_permitted_stay_so() -> None:
    answer = answered(on(CHANGE), rulebook="irc-2021@1", total_rise_in=None, risers_in=TALL)
    assert answer["verdict"]["status"] == "not_permitted"
    assert reasons(answer)
    assert any(one["code"] == "check_failed" for one in answer["verdict"]["reasons"])


@pytest.mark.parametrize("said", [{}, {"total_rise_in": None, "risers_in": [7.0, 7.0]}])
def test_every_layout_says_that_the_place_decides(said: dict) -> None:
    """No jurisdiction is asked for: a local rule on risers, handrails or widths is not in the answer."""
    codes = [one["code"] for one in answered(on(BEFORE), **said)["cautions"]]
    assert codes.count("local_codes_decide") == 1
