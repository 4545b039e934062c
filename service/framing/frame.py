"""A whole frame: the members of every level with their posts, footings and stairs."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report_frame import Footing, Level, Post, Stair


@dataclass(frozen=True)
class Frame:
    """The members of a deck, as the report carries them; numbers are not rounded yet."""

    levels: tuple[Level, ...]
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    stairs: tuple[Stair, ...]
