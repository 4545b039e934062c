"""The figures tried, as the tables of the fit page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.fit.lines import row
from service.fit.trials import (
    Trial,
    beam_cases,
    deflection_trials,
    overhang_trials,
    post_cases,
    post_load_trials,
    post_stiffness_trials,
    shear_trials,
    two_ply_trials,
)
from service.rules.rulebook import Rulebook
from service.timber.values import TimberData


def tried_lines(codes: Sequence[Rulebook], timber: TimberData) -> dict[str, str]:
    """Return a table of the figures tried for each fitted one, by the key of its words."""
    by_rule: dict[str, list[Rulebook]] = {}
    for book in codes:
        by_rule.setdefault(book.in_force_settings.beam_lookup_rule, []).append(book)
    factored = [case for book in by_rule["factored_span"] for case in beam_cases(book, timber)]
    older = [case for book in by_rule["next_column"] for case in beam_cases(book, timber)]
    posts = [case for book in by_rule["factored_span"] for case in post_cases(book, timber)]
    pairs = [one for book in by_rule["span_and_cantilever_pair"] for one in overhang_trials(book, timber)]
    return {
        "two_ply": _table(two_ply_trials(factored)),
        "shear": _table(shear_trials(factored)),
        "deflection": _table(deflection_trials(older)),
        "post_load": _table(post_load_trials(posts)),
        "post_stiffness": _table(post_stiffness_trials(posts)),
        "overhang": _table(pairs),
    }


def _table(trials: Iterable[Trial]) -> str:
    lines = [row("tried", "cells", "exact", "within 1 in"), row("---", "---:", "---:", "---:")]
    lines += [row(one.figure, one.cells, one.exact, one.within) for one in trials]
    return "\n".join(lines)
