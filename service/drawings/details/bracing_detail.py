"""The bracing detail: every kind of brace, and which posts have it; where there is none, why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from xml.etree.ElementTree import Element

from service.contract.report import DesignReport
from service.contract.report_frame import Post
from service.drawings.details.braced import (
    Braced,
    bolts_of,
    braces_of,
    different_braces,
    dimensions,
    drawing,
    reach_of,
    write_labels,
)
from service.drawings.kit.labels import Placing
from service.drawings.kit.nothing import no_room, nothing_to_draw
from service.drawings.kit.paper import Paper
from service.drawings.kit.reasons import cautions_told
from service.drawings.kit.sheet import Content
from service.drawings.kit.side import Table
from service.drawings.kit.views import most_that_fit, named, scale_of, scale_said
from service.drawings.kit.words import pieces_words
from service.units.finding import Finding
from service.units.text import feet_inches, sentence

TITLE = "Bracing detail"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LEAST_PT_PER_FT = 27.0  # 3/8" = 1'-0"
_WAYS = {"along_beam": "along the beam", "across_beam": "across the beam"}


def bracing_detail(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return each different brace of the deck, or of one level; as many as can be read."""
    kinds = different_braces(report, level)
    if not kinds:
        return _none(report, paper, level)
    views = most_that_fit([reach_of(one) for one in kinds], paper.area, LEAST_PT_PER_FT)
    placing = Placing(paper.area)
    body: list[Element] = []
    for letter, one, at in zip(LETTERS, kinds, views, strict=False):
        name = f"Brace {letter}: {_WAYS[one.brace.direction]}, at {one.angle_deg:.0f} degrees"
        body += [named(at, name, placing), drawing(one, at), dimensions(one, at, placing)]
    for one, at in zip(kinds, views, strict=False):
        write_labels(one, at, placing)
    left = [f"brace {letter}" for letter in LETTERS[len(views) : len(kinds)]]
    count = len(braces_of(report, level))
    return Content(
        TITLE,
        scale_said(views),
        body,
        placing.written(),
        f"{count} braces of {len(kinds)} kinds.",
        _tables(report, kinds, level),
        _notes(report, left, placing),
        scale_of(views),
    )


def _tables(report: DesignReport, kinds: Sequence[Braced], level: str | None) -> tuple[Table, ...]:
    braces = [
        (
            letter,
            one.brace.size,
            feet_inches(one.brace.length_in),
            f"{_WAYS[one.brace.direction]}; {_fixed(one)}",
        )
        for letter, one in zip(LETTERS, kinds, strict=False)
    ]
    return Table("Braces", ("Kind", "Size", "Length", "How"), tuple(braces)), _posts(report, kinds, level)


def _fixed(one: Braced) -> str:
    lower, upper = bolts_of(one.brace)
    washers = len(one.brace.hardware) - len(lower) - len(upper)
    return f"at the post {pieces_words(lower)}; above {pieces_words(upper)}; {washers} washers"


def _posts(report: DesignReport, kinds: Sequence[Braced], level: str | None) -> Table:
    """Every post by its braces and height."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for post in _of(report, level):
        has = [letter for letter, one in zip(LETTERS, kinds, strict=False) if post.id in one.posts]
        row = (", ".join(has) or "none", post.size, feet_inches(post.height_in))
        rows.setdefault(row, []).append(post.mark)
    told = tuple((*row, ", ".join(marks)) for row, marks in rows.items())
    return Table("Posts", ("Braces", "Size", "Beam to pier", "Posts"), told)


def _of(report: DesignReport, level: str | None) -> list[Post]:
    return [post for post in report.posts if level in (None, post.level)]


def _notes(report: DesignReport, left: Sequence[str], placing: Placing) -> list[str]:
    found = no_room(left, placing)
    found += cautions_told(report, (one for one in report.cautions if one.code == "bracing_needed"))
    found += [
        "Each brace is measured on its centre line, from that of the post to what it meets above; both ends are bolted"
        " through, with a washer on either side. Bolts are told, not drawn.",
        *_checked(report),
    ]
    return found


def _checked(report: DesignReport) -> list[str]:
    """The worst of each check of braces, with its figures."""
    posts = {post.id: post.mark for post in report.posts}
    held = posts | {brace.id: posts.get(brace.post, brace.post) for brace in braces_of(report, None)}
    found = []
    for name in ("brace_axial", "brace_connection", "sway"):
        of_it = [one for one in report.checks if one.check == name and one.ratio is not None]
        if of_it:
            worst = max(of_it, key=lambda one: one.ratio or 0.0)
            at = held.get(worst.member, worst.member)
            found.append(f"{sentence(name.replace('_', ' '))[:-1]}, the worst: {_figures(worst)} at {at}.")
    return found


def _figures(check: Finding) -> str:
    demand, capacity = check.demand or 0.0, check.capacity or 0.0
    if check.unit == "ratio":
        return f"{demand:.2f} of {capacity:.2f}"
    return f"{demand:.0f} of {capacity:.0f} {check.unit or ''}".strip()


def _none(report: DesignReport, paper: Paper, level: str | None) -> Content:
    posts = _of(report, level)
    if not posts:
        why = (
            "No bracing: no post stands under this deck."
            if report.footings
            else "No bracing: no frame was found for this deck."
        )
        return nothing_to_draw(TITLE, why, paper)
    tallest = max(posts, key=lambda post: post.height_in)
    instead = _why_not(report, {post.id: post.mark for post in posts})
    further = [
        f"The tallest post is {tallest.mark}: {feet_inches(tallest.height_in)} from the pier to the beam.",
        *instead,
        *cautions_told(report, (one for one in report.cautions if one.code == "bracing_needed")),
    ]
    why = "No braces." if instead else "No braces: none is asked for under the posts of this deck."
    found = nothing_to_draw(TITLE, why, paper, further)
    return found._replace(tables=(_posts(report, (), level),))


def _why_not(report: DesignReport, posts: Mapping[str, str]) -> list[str]:
    """What stands in for braces where posts are tall enough to need them, by the report's checks."""
    found = []
    for check in report.checks:
        if check.check == "brace_required" and check.member in posts:
            told = {step.symbol: step.value_text or step.value for step in check.working}
            found.append(
                f"{posts[check.member]}: {told.get('post_height')} in high, braced over {told.get('braced_over')} in; "
                f"here by {told.get('provided')}."
            )
    return found
