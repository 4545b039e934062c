"""A foundation table that is not right is refused with file, line and column."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from service.foundations.facts import parse_facts
from service.rules.faults import TableRefused

Change = Callable[[dict[str, str]], None]


def swap(table: str, old: str, new: str) -> Change:
    def change(texts: dict[str, str]) -> None:
        assert old in texts[table]
        texts[table] = texts[table].replace(old, new, 1)

    return change


def drop(table: str) -> Change:
    return lambda texts: texts.pop(table) and None


TUBE_8 = '8,common_practice,"common practice, no source: sizes cardboard tubes are sold in"'
NO_AREA = "pile_layouts.csv:8: helices_in: no area of a 16 in helix"

CASES = {
    "unknown-column": (swap("figures", "key,value,unit", "key,size,unit"), "figures.csv:1: the columns are"),
    "not-a-number": (swap("figures", "load_line,45,", "load_line,steep,"), "figures.csv:13: value: Expected `float`"),
    "unknown-unit": (swap("figures", "near_house,60,in", "near_house,60,yd"), "figures.csv:12: unit:"),
    "no-source": (swap("tube_sizes", TUBE_8, "8,common_practice,"), "tube_sizes.csv:2: source:"),
    "unknown-status": (swap("pile_shafts", "9,memory,", "9,hearsay,"), "pile_shafts.csv:2: kt_status:"),
    "missing-figure": (swap("figures", "pile_safety", "pile_luck"), "figures.csv:1: key: pile_safety is missing"),
    "unknown-figure": (swap("figures", "pile_safety", "pile_luck"), "key: unknown figure pile_luck"),
    "same-key": (swap("tube_sizes", "\n10,", "\n8,"), "tube_sizes.csv:3: diameter_in: same key as line 2"),
    "negative": (swap("figures", "rig_width,48", "rig_width,-48"), "value: Expected `float` >= 0.0"),
    "infinite": (swap("figures", "rig_width,48", "rig_width,inf"), "value: Expected `float` <= 1000000.0"),
    "short-row": (swap("helix_areas", "8,0.304,own_convention,", "8,0.304,"), "cells where 5 are needed"),
    "falls": (swap("schedule", "0.1,0.25,0.5", "0.3,0.25,0.5"), "schedule.csv:3: days_low: layout does not rise"),
    "no-such-step": (swap("schedule", "dig,A1", "dig,A99"), "schedule.csv:4: after: dig comes after A99"),
    "not-yet-there": (swap("schedule", "layout,,crew", "layout,A2,crew"), "schedule.csv:3: after: layout comes after"),
    "no-month": (swap("figures", "cold_first_month,11", "cold_first_month,13"), "is no month, 1 to 12"),
    "all-too-alike": (swap("figures", "weather_correlation,0.5", "weather_correlation,1.5"), "is more than 1"),
    "unknown-cause": (swap("schedule", "crew,yes,,weather", "crew,yes,,luck"), "schedule.csv:3: cause:"),
    "no-area": (swap("pile_layouts", "10;12;14", "10;12;16"), NO_AREA),
    "tube-fills-bell": (swap("bell_forms", "8;10;12,", "8;10;15,"), "bell_forms.csv:2: tubes_in: a 15 in tube leaves"),
    "flat-bell": (swap("bell_forms", "18,6,60,", "18,6,40,"), "bell_forms.csv:2: side_deg: Expected `float` >= 45.0"),
    "no-seat": (swap("pier_blocks", "4x4;4x6", "4x4;;4x6"), "pier_blocks.csv:2: seats:"),
    "missing-table": (drop("schedule"), "schedule.csv:1: missing"),
    "unknown-table": (lambda texts: texts.update(spoons="key\n"), "spoons.csv:1: unknown table"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_refused(name: str, fact_texts: dict[str, str]) -> None:
    change, message = CASES[name]
    texts = dict(fact_texts)
    change(texts)
    with pytest.raises(TableRefused) as refused:
        parse_facts(texts)
    assert message in str(refused.value)


def test_all_faults_at_once(fact_texts: dict[str, str]) -> None:
    texts = dict(fact_texts)
    swap("figures", "rig_width,48", "rig_width,wide")(texts)
    swap("pile_shafts", "9,memory,", "9,hearsay,")(texts)
    with pytest.raises(TableRefused) as refused:
        parse_facts(texts)
    assert len(refused.value.faults) == 2
