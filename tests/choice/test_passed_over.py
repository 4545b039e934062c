"""Where many frames fail alike, frames on other posts are looked at before the search gives up."""

from __future__ import annotations

from choice.brute_decks import case_of
from choice.pinned import free_deck

from service.choice.search.decide import decide
from service.choice.search.found import MOST_JUDGED, MOST_THOROUGH_FOOTINGS, PASSED_OVER, Found

# A corner that puts the end posts of two beams side by side: most cheap frames have their bells in each other's way.
CORNER_SEED = 300


def found_for(seed: int) -> Found:
    found = decide(case_of(free_deck(seed))).found
    assert found is not None
    return found


def test_a_frame_that_stands_is_found_behind_many_whose_bells_overlap() -> None:
    found = found_for(CORNER_SEED)
    assert found.worked.verdict.status == "prescriptive"
    assert found.judged > MOST_JUDGED
    assert found.why_not_proven == PASSED_OVER


def test_how_many_frames_of_a_small_space_are_judged_goes_by_their_footings() -> None:
    found = found_for(CORNER_SEED)
    (candidate,) = found.candidates
    least = candidate.footings - 1  # frames judged have about as many as the one answered
    assert found.judged <= 2 * MOST_THOROUGH_FOOTINGS / least + 1
