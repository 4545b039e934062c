"""The footing methods in a builder's words."""

from __future__ import annotations

from collections.abc import Mapping

NAMES: Mapping[str, str] = {
    "tube_form_pier": "poured tube piers",
    "pad_and_pier": "piers on poured pads",
    "belled_pier": "belled piers",
    "post_on_buried_pad": "posts on buried pads",
    "helical_pile": "helical piles",
    "pier_block_on_grade": "pier blocks on the ground",
}


def jobs(chance: float) -> str:
    """Return a chance as a builder says it; what is not certain is not said to be.

    >>> jobs(0.624), jobs(0.998), jobs(0.002), jobs(1.0)
    ('62 of 100 jobs', '99 of 100 jobs', 'fewer than 1 of 100 jobs', '100 of 100 jobs')
    """
    if 0 < chance < 0.01:
        return "fewer than 1 of 100 jobs"
    return f"{99 if 0.99 < chance < 1 else round(chance * 100)} of 100 jobs"


def plain(method: str) -> str:
    """Return a method's name as it stands in a sentence.

    >>> plain("helical_pile")
    'helical piles'
    """
    return NAMES.get(method, method.replace("_", " "))


def name(method: str) -> str:
    """Return a method's name as it begins a sentence.

    >>> name("helical_pile")
    'Helical piles'
    """
    return plain(method).capitalize()
