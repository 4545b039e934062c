"""What the README and DEVELOPERS.md print is what the service does and where things lie."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest

from service.pipeline import design
from service.web.desk import Desk
from service.web.resolve import context_of, read_spec

FENCED = re.compile(r"^```(\w+)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
LINK = re.compile(r"\]\(([^)#:]+)\)")
PATH = re.compile(r"`((?:service|tests|openapi|migrations|\.ci)/[\w./@-]*)`")


def _blocks(root: Path, language: str) -> list[str]:
    text = (root / "README.md").read_text(encoding="utf-8")
    return [body for name, body in FENCED.findall(text) if name == language]


def _differs(shown: Any, real: Any, at: str = "") -> list[str]:
    """Where a shown part is not in the real answer; a shown list is the beginning of the real one's members."""
    if isinstance(shown, dict):
        return [
            fault for key, part in shown.items() for fault in _differs(part, real.get(key), f"{at}/{key}")
        ]
    if isinstance(shown, list):
        if not shown or not real:
            return [] if not shown and not real else [f"{at}: shown {shown}, is {real}"]
        return min((_differs(shown[0], one, f"{at}/0") for one in real), key=len)
    return [] if shown == real else [f"{at}: shown {shown}, is {real}"]


def test_two_commands_stand_in_one_line_each_and_in_this_order(root: Path) -> None:
    commands = [line for body in _blocks(root, "sh") for line in body.splitlines() if "-m venv" in line]
    assert [line.endswith(end) for line, end in zip(commands, ("deck-framing try", "pytest -q"), strict=True)]
    assert all(line.startswith("python3 -m venv .venv && ") for line in commands)


def test_the_first_paragraph_is_prose_that_states_the_job(root: Path) -> None:
    title, first = (root / "README.md").read_text(encoding="utf-8").split("\n\n")[:2]
    assert title.startswith("# ")
    assert {"framing", "footings", "prices", "table"} <= set(re.findall(r"\w+", first))


@pytest.fixture(scope="module")
def answered(root: Path, desk: Desk) -> tuple[Any, Any]:
    request, shown, *_ = _blocks(root, "json")
    spec = read_spec(request.encode(), desk)
    return json.loads(shown), msgspec.to_builtins(design(spec, context_of(spec, desk), with_wishes=True))


def test_the_answer_shown_is_part_of_the_answer_given(answered: tuple[Any, Any]) -> None:
    shown, real = answered
    assert not _differs(shown, real)


def test_the_wish_shown_is_one_of_the_answer_given(root: Path, answered: tuple[Any, Any]) -> None:
    shown = json.loads(_blocks(root, "json")[2])
    _, real = answered
    found = [
        one
        for one in real["preference_costs"]
        if (one["preference"], one["value"]) == (shown["preference"], shown["value"])
    ]
    assert len(found) == 1
    assert not _differs(shown, found[0])


def test_what_is_to_be_sent_for_the_comparison_gives_it_cost_and_dates(root: Path, desk: Desk) -> None:
    request, _, _, more = (json.loads(body) for body in _blocks(root, "json"))
    spec = read_spec(json.dumps({**request, **more}).encode(), desk)
    found = design(spec, context_of(spec, desk)).footing_comparison
    chosen = next(one for one in found.methods if one.method == found.recommended)
    assert chosen.cost is not None
    assert chosen.schedule is not None
    assert chosen.schedule.first_framing_date is not None
    assert found.break_even is not None


def test_a_changed_answer_is_found(answered: tuple[Any, Any]) -> None:
    shown, real = answered
    changed = {**shown, "checks": [{**shown["checks"][0], "capacity": 1.0}]}
    assert _differs(changed, real) == [f"/checks/0/capacity: shown 1.0, is {shown['checks'][0]['capacity']}"]


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_links_and_paths_lead_somewhere(root: Path, page: str) -> None:
    text = (root / page).read_text(encoding="utf-8")
    places = [*LINK.findall(text), *PATH.findall(text)]
    lost = [place for place in places if not (root / place.rstrip("/")).exists()]
    assert places
    assert not lost
