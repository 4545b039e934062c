"""An independent referee of designs: it reads a spec and the answer to it, and says in sentences what is wrong.

It uses the service's look-ups of what a table allows, and nothing of how frames are found, laid out or loaded.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable

from properties.referee_answer import Answer
from properties.referee_beams import (
    beams_close,
    beams_keep_to_the_edition,
    every_post_is_on_one_footing,
    every_support_is_a_post_or_a_saddle,
    heights_close,
    posts_keep_to_the_edition,
    splices_keep_to_the_rule,
)
from properties.referee_checks import (
    every_member_is_checked,
    framed_means_every_kind_of_member,
    passing_means_within,
    prescriptive_means_every_check_passes,
    without_a_frame_nothing_stands,
)
from properties.referee_floor import (
    areas_add_up,
    every_side_is_followed,
    ground_is_under_the_frame,
    joists_keep_apart,
    ledgers_hang_on_walls,
    ledgers_tell_their_area,
    no_bay_is_too_wide,
    regions_are_the_floor,
    rims_are_as_long_as_drawn,
    rims_meet_at_corners,
)
from properties.referee_joists import (
    beams_passed_are_supports,
    cantilevers_are_as_drawn,
    ends_are_cut_to_their_side,
    every_line_is_carried_twice,
    joists_keep_to_the_edition,
    lines_are_lines,
)
from properties.referee_loads import footings_carry_what_stands_on_them

Rule = Callable[[Answer], Iterable[str]]
RULES: dict[str, Rule] = {
    rule.__name__: rule
    for rule in (
        without_a_frame_nothing_stands,
        framed_means_every_kind_of_member,
        lines_are_lines,
        no_bay_is_too_wide,
        joists_keep_apart,
        regions_are_the_floor,
        every_line_is_carried_twice,
        beams_passed_are_supports,
        cantilevers_are_as_drawn,
        ends_are_cut_to_their_side,
        joists_keep_to_the_edition,
        every_side_is_followed,
        rims_are_as_long_as_drawn,
        rims_meet_at_corners,
        ledgers_hang_on_walls,
        ledgers_tell_their_area,
        beams_close,
        every_support_is_a_post_or_a_saddle,
        every_post_is_on_one_footing,
        heights_close,
        ground_is_under_the_frame,
        splices_keep_to_the_rule,
        beams_keep_to_the_edition,
        posts_keep_to_the_edition,
        areas_add_up,
        footings_carry_what_stands_on_them,
        every_member_is_checked,
        passing_means_within,
        prescriptive_means_every_check_passes,
    )
}


def wrong(answer: Answer, without: Collection[str] = ()) -> list[str]:
    """Return what is wrong with an answer, each sentence after the rule it breaks; empty where it is sound."""
    return [
        f"{name}: {sentence}"
        for name, rule in RULES.items()
        if name not in without
        for sentence in rule(answer)
    ]
