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
