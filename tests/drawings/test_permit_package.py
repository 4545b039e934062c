"""What a permit package says: all of the report is in it, once and under its mark, and nothing that it may not say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import msgspec
import pytest
from package_decks import ALL, DECKS, ENGINEER, REFUSED, UNPRICED, report_of

from service.contract.permit_package import Job
from service.drawings.apart import told_apart
from service.drawings.package.blocks import BREAK, Checks, Listing, Section, Signature, Statement, Table
from service.drawings.package.limits import NOT_COVERED
from service.drawings.package.marks import marks_of
from service.drawings.package.package import Package, package_of
from service.units.text import item_words

JOB = Job(owner="R. Example", site_address="12 Invented Lane", note="Second set")


@cache
def packed(name: str) -> Package:
    return package_of(report_of(name), JOB)


def section(name: str, title: str) -> Section:
    found = packed(name)
    return next(one for one in (*found.cover, *found.sections) if one.title == title)


def texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value.replace(BREAK, "")
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from texts(one)


def text_of(value: Any) -> str:
    return "\n".join(texts(msgspec.to_builtins(value)))


def rows(name: str, title: str, block: str) -> list[tuple[str, ...]]:
    tables = [one for one in section(name, title).blocks if isinstance(one, Table) and one.title == block]
    return [tuple(cell.replace(BREAK, "") for cell in row) for one in tables for row in one.rows]


def checks_of(name: str) -> list[Checks]:
    return [one for one in section(name, "Checks").blocks if isinstance(one, Checks)]


@pytest.mark.parametrize("name", ALL)
def test_package_every_check_is_there_once(name: str) -> None:
    ids = [id for block in checks_of(name) for group in block.groups for row in group.rows for id in row.ids]
    assert sorted(ids) == sorted(one.id for one in report_of(name).checks)


def _number(cell: str) -> float | None:
    found = re.search(r"-?[0-9][0-9,]*(\.[0-9]+)?", cell)
    return float(found[0].replace(",", "")) if found else None


@pytest.mark.parametrize("name", ALL)
def test_package_every_check_has_its_own_figures_source_and_working(name: str) -> None:
    """Checks printed as one are equal in all but whose they are."""
    by_id = {one.id: one for one in report_of(name).checks}
    for block in checks_of(name):
        for row in (row for group in block.groups for row in group.rows):
            for one in (by_id[id] for id in row.ids):
                assert row.cells[0] == one.check.replace("_", " ")
                assert _number(row.cells[2]) == one.demand
                assert _number(row.cells[3]) == one.capacity
                assert _number(row.cells[4]) == one.ratio
                assert one.citation.document in row.citation
                assert (one.citation.section or "") in row.citation
                assert len(row.working) == len(one.working)
                for line, step in zip(row.working, one.working, strict=True):
                    symbol, value = line.replace(BREAK, "").split(" = ", 1)
                    assert (symbol, value.endswith(step.source)) == (step.symbol, True)
                    assert step.value is None or _number(value) == step.value
                assert (row.passes, row.cells[-1]) == (one.passes, "passes" if one.passes else "FAILS")


@pytest.mark.parametrize("name", ALL)
def test_package_a_group_of_checks_names_every_member(name: str) -> None:
    by_id = {one.id: one for one in report_of(name).checks}
    for group in (group for block in checks_of(name) for group in block.groups):
        members = [{by_id[id].member for id in row.ids} for row in group.rows]
        assert all(one == members[0] for one in members)


def test_package_failing_checks_come_first() -> None:
    failing = {one.id for one in report_of(REFUSED).checks if not one.passes}
    first, *others = checks_of(REFUSED)
    assert failing
    assert first.title == "Checks that fail"
    assert {id for group in first.groups for row in group.rows for id in row.ids} == failing
    assert all(row.passes for block in others for group in block.groups for row in group.rows)


@pytest.mark.parametrize("name", ALL)
def test_package_every_post_and_footing_is_in_its_schedule_once(name: str) -> None:
    report = report_of(name)
    posts = [row[0].splitlines() for row in rows(name, "Member schedule", "Posts")]
    assert [id for _, id in posts] == [one.id for one in report.posts]
    footings = [row[0] for row in rows(name, "Footing schedule", "")]
    assert [row[5] for row in rows(name, "Load path", "Down to the ground")] == footings
    for members, told in ((report.posts, [mark for mark, _ in posts]), (report.footings, footings)):
        assert all(mark.endswith(one.mark) for mark, one in zip(told, members, strict=True))
        assert len(set(told)) == len(told)


def test_package_marks_of_levels_are_told_apart() -> None:
    """Both levels of this deck have a footing F1-1."""
    told = [row[0] for row in rows(UNPRICED, "Footing schedule", "")]
    assert sum(one.mark == "F1-1" for one in report_of(UNPRICED).footings) == 2
    assert [one for one in told if one.endswith(" F1-1")] == ["upper F1-1", "lower F1-1"]


@pytest.mark.parametrize("name", ALL)
def test_package_every_member_is_in_the_member_schedule(name: str) -> None:
    report, told = report_of(name), text_of(section(name, "Member schedule"))
    members = [
        one.id
        for level in report.levels
        for kind in (level.joists, level.ledgers, level.rims, level.beams, level.blocking, level.braces)
        for one in kind
    ]
    members += [one.id for level in report.levels for guard in level.guards for one in guard.posts]
    members += [one.id for stair in report.stairs for kind in (stair.beams, stair.braces) for one in kind]
    members += [one.id for stair in report.stairs for landing in stair.landings for one in landing.joists]
    assert members
    lines = set(told.splitlines())
    assert [one for one in members if one not in lines] == []


def test_package_joists_lie_where_the_report_has_them() -> None:
    """A deck of one group of like joists: 16 lines over a width of 20 ft, all 11 ft 9 in long (192 - 3 in)."""
    (row,) = (row for row in rows("hillside", "Member schedule", "Joists") if row[0].startswith("J1"))
    (joists,) = report_of("hillside").levels[0].joists
    assert joists.count == 16
    assert row[3:6] == ("16", 'x 3/4" to 19\'-11 1/4"', "11'-9\"")
    assert row[8] == "L1, B1"


def test_package_lines_of_joists_add_up() -> None:
    for name in ALL:
        for joists in (one for level in report_of(name).levels for one in level.joists):
            mark = marks_of(told_apart(report_of(name))).of(joists.id)
            told = [row for row in rows(name, "Member schedule", "Joists") if row[0].split("\n")[0] == mark]
            assert sum(int(row[3]) for row in told) == joists.count


@pytest.mark.parametrize("name", ALL)
def test_package_every_item_is_in_the_order(name: str) -> None:
    takeoff = report_of(name).takeoff
    told = set(text_of(section(name, "Order")).splitlines())
    lines = (*takeoff.stock, *takeoff.decking, *takeoff.hardware, *takeoff.concrete, *takeoff.groundwork)
    assert [one.item for one in (*lines, *takeoff.unpriced) if item_words(one.item) not in told] == []
    counted = sum(len(one.rows) for one in section(name, "Order").blocks if isinstance(one, Table))
    assert counted == len(lines) + len(takeoff.unpriced) + len(takeoff.substitutions)


@pytest.mark.parametrize("name", ALL)
def test_package_every_piece_of_hardware_says_where_it_goes(name: str) -> None:
    hardware = report_of(name).takeoff.hardware
    told = rows(name, "Connection schedule", "All hardware and fasteners")
    assert [row[0] for row in told] == [item_words(one.item) for one in hardware]
    assert all(row[3] != "-" for row, one in zip(told, hardware, strict=True) if one.members)


def test_package_total_says_whether_it_is_complete() -> None:
    takeoff = report_of("hillside").takeoff
    assert takeoff.total is not None
    told = text_of(section("hillside", "Order"))
    whole, cents = takeoff.total.amount.split(".")
    assert f"USD {int(whole):,}.{cents}, complete" in told
    assert "no price book was named" in text_of(section(UNPRICED, "Order"))
    part = msgspec.structs.replace(takeoff, total=msgspec.structs.replace(takeoff.total, complete=False))
    report = msgspec.structs.replace(report_of("hillside"), takeoff=part)
    assert "not complete" in text_of(package_of(report, None))


@pytest.mark.parametrize("name", ALL)
def test_package_engineers_lines_only_where_one_is_required(name: str) -> None:
    found = packed(name)
    signed = [one for part in found.sections for one in part.blocks if isinstance(one, Signature)]
    assert len(signed) == (report_of(name).verdict.status == "engineer_required")


def by_marks(name: str, text: str) -> str:
    """A text of a report of one level as it is printed: members by their marks, the tub in words."""
    report = report_of(name)
    for one in (*report.levels[0].beams, *report.levels[0].ledgers, *report.footings):
        text = re.sub(rf"{re.escape(one.id)}\b", one.mark, text)
    return text.replace("deck.heavy-1", "the hot tub").rstrip(".")


def test_package_engineer_reads_every_reason() -> None:
    told = text_of(section(ENGINEER, "For the engineer"))
    reasons = report_of(ENGINEER).verdict.reasons
    assert reasons
    assert all(by_marks(ENGINEER, one.text) in told for one in reasons)


@pytest.mark.parametrize("name", ALL)
def test_package_verdict_is_on_the_cover_with_its_reasons(name: str) -> None:
    report, found = report_of(name), packed(name)
    said = [one for one in found.cover[0].blocks if isinstance(one, Statement)]
    assert [one.words.lower() for one in said] == [report.verdict.status.replace("_", " ")]
    assert all(
        any(by_marks(name, one.text) in line for line in said[0].because) for one in report.verdict.reasons
    )
    expected = None if report.verdict.status == "prescriptive" else said[0].words.upper()
    assert found.warning == expected


def test_package_what_is_not_permitted_has_a_page_that_says_so() -> None:
    assert report_of(REFUSED).verdict.status == "not_permitted"
    assert [one.title for one in packed(REFUSED).cover][1:] == ["Not permitted"]
    assert all(len(packed(name).cover) == 1 for name in ALL if name != REFUSED)


@pytest.mark.parametrize("name", ALL)
def test_package_is_never_said_to_be_approved(name: str) -> None:
    """Only the caution that says so may hold the word: within the tables does not mean approved."""
    told = text_of(packed(name))
    assert "not an approval" in told
    said = {one.text for one in report_of(name).cautions}
    assert {line for line in told.splitlines() if re.search("approved", line, re.IGNORECASE)} <= said


@pytest.mark.parametrize("name", ALL)
def test_package_every_caution_inspection_question_and_limit(name: str) -> None:
    report, told = report_of(name), text_of(packed(name))
    said = [one.action.rstrip(".") for one in report.cautions]
    said += [look for one in report.permits.inspections for look in one.looks_at]
    said += [*report.permits.reviewer_questions, *report.permits.drawings_needed, *NOT_COVERED]
    assert [one for one in said if one[1:] not in told] == []
    boxes = [one for one in section(name, "Permits and questions").blocks if isinstance(one, Listing)]
    assert all(one.boxes for one in boxes)


@pytest.mark.parametrize("name", DECKS)
def test_package_every_footing_method_is_compared(name: str) -> None:
    (methods,) = (
        one.rows
        for one in section(name, "Footing methods compared").blocks
        if isinstance(one, Table) and one.title.startswith("Methods")
    )
    comparison = report_of(name).footing_comparison
    assert [row[0] for row in methods] == [one.method.replace("_", " ") for one in comparison.methods]
    assert [row[1] for row in methods] == ["yes" if one.feasible else "no" for one in comparison.methods]


def test_package_footer_and_cover_name_engine_rulebook_and_design() -> None:
    report, found = report_of("hillside"), packed("hillside")
    foot, cover = "\n".join(found.footer), text_of(found.cover)
    assert f"Prepared with the deck framing service {report.engine_version}" in foot
    assert report.design_id in foot
    assert report.rulebook.digest[:12] in foot
    assert report.rulebook.digest in cover
    assert report.design_id in cover


def test_package_job_is_on_the_cover_and_nowhere_else() -> None:
    found = packed("hillside")
    assert all(one in text_of(found.cover) for one in ("R. Example", "12 Invented Lane", "Second set"))
    assert "R. Example" not in text_of(found.sections) + text_of(found.footer)
    assert "owner" not in text_of(package_of(report_of("hillside"), None).cover[0])


def test_package_tables_are_as_wide_as_their_rows() -> None:
    for name in ALL:
        for part in packed(name).sections:
            for one in part.blocks:
                if isinstance(one, Table):
                    assert {len(row) for row in one.rows} == {len(one.columns)}, (part.title, one.title)


def test_package_long_names_of_levels_may_be_broken() -> None:
    """Twenty-four letters are the longest name a level may have; columns of ids are narrower."""
    report = report_of("ledger-composite")
    renamed = msgspec.json.decode(
        msgspec.json.encode(report).replace(b"main.", b"b" * 24 + b"."), type=type(report)
    )
    (members,) = (one for one in package_of(renamed, None).sections if one.title == "Member schedule")
    cells = [cell for one in members.blocks if isinstance(one, Table) for row in one.rows for cell in row]
    assert any("b" * 10 + BREAK in cell for cell in cells)
    assert not any("b" * 11 in cell for cell in cells)
