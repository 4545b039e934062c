"""A place's time zone is one that days can be told by, by its very letters."""

from __future__ import annotations

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.rules.faults import TableRefused
from service.rules.jurisdiction import parse_jurisdiction, zone_faults
from service.store.places import read_place, time_zones

TEXT = Path("service/rulebooks/jurisdictions/alder-county.toml").read_text(encoding="utf-8")
ZONE = parse_jurisdiction(TEXT, "a.toml").time_zone


def test_a_zone_that_is_not_known_has_its_line() -> None:
    place = parse_jurisdiction(TEXT, "a.toml")
    assert zone_faults(place, "a.toml", {ZONE}) == []
    fault = zone_faults(place, "a.toml", {"Europe/Vienna"})[0]
    assert TEXT.split("\n")[fault.line - 1].startswith("time_zone = ")
    assert (fault.column, fault.file) == ("time_zone", "a.toml")


@pytest.mark.parametrize("zone", ["America/new_york", "America/Nowhere", "US/eastern", "Americas/New_York"])
def test_only_the_very_name_is_taken(zone: str) -> None:
    with pytest.raises(TableRefused, match=f"there is no time zone {zone}"):
        read_place(TEXT.replace(f'"{ZONE}"', f'"{zone}"'), "a.toml")


def test_every_zone_that_is_known_can_be_told_by() -> None:
    assert {name for name in time_zones() if ZoneInfo(name).key == name} == time_zones()
