"""Where many frames fail alike, frames on other posts are looked at before the search gives up."""

from __future__ import annotations

import pytest
from choice.brute_decks import case_of
from choice.pinned import free_deck

from service.choice.search import found
from service.choice.search.decide import decide
from service.choice.search.found import MOST_JUDGED, PASSED_OVER, Found

# A corner that puts the end posts of two beams side by side: most cheap frames have their bells in each other's way.
CORNER_SEED = 300


def found_for(seed: int) -> Found:
    result = decide(case_of(free_deck(seed))).found
    assert result is not None
    return result


def test_a_frame_that_stands_is_found_behind_many_whose_bells_overlap() -> None:
    result = found_for(CORNER_SEED)
    assert result.worked.verdict.status == "prescriptive"
    assert result.judged > MOST_JUDGED


def test_after_many_that_fail_only_frames_on_other_posts_are_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    """With less patience than the service has, the same frame is found, and the answer says that some were not."""
    whole = found_for(CORNER_SEED)
    monkeypatch.setattr(found, "MOST_THOROUGH_FOOTINGS", 200)
    result = found_for(CORNER_SEED)
    assert result.why_not_proven == PASSED_OVER
    assert result.worked.verdict.status == whole.worked.verdict.status
    assert result.judged < whole.judged


def test_judging_ends_where_no_frame_is_as_good_as_its_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(found, "MOST_THOROUGH_FOOTINGS", 20)
    result = found_for(CORNER_SEED)
    assert result.judged <= MOST_JUDGED + 1
    assert result.why_not_proven
