"""Rulebooks as built from the repository's files: digests, settings, limits, choice by date, amendments."""

from __future__ import annotations

import hashlib
from datetime import date
from zoneinfo import ZoneInfo

import msgspec
import pytest

from service.rules.amend import adoption_faults, apply_amendments
from service.rules.amendment import Amendment, AmendmentCitation
from service.rules.choice import rulebook_in_force
from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction, canonical_form, parse_jurisdiction
from service.rules.kinds import LIMIT_TABLES
from service.rules.lookups import exact, linear
from service.rules.rulebook import Rulebook, build_rulebook

Books = dict[str, Rulebook]
Places = dict[str, Jurisdiction]
CODES = ["irc-2015", "irc-2018", "irc-2021", "irc-2024"]
LAW = AmendmentCitation("County code (invented)", "9.12", "own_convention")


def _texts(book: Rulebook) -> dict[str, str]:
    return {name: table.text for name, table in book.tables.items()}


META = (
    'id = "irc-2021"\nedition = "2021"\ntitle = "t"\nkind = "code"\ndocument = "International Residential Code"\n'
    "version = 1\npublished_on = 2026-11-25\nnotes = []\n"
)


def test_the_five_books_are_there(rulebooks: Books) -> None:
    assert sorted(rulebooks) == ["dca-6", *CODES]
    assert [rulebooks[code].kind for code in CODES] == ["code"] * 4
    assert rulebooks["dca-6"].kind == "guide"
    with pytest.raises(ValueError, match="guide"):
        _ = rulebooks["dca-6"].in_force_settings


def test_version_digest_can_be_worked_out_by_an_outsider(rulebooks: Books) -> None:
    book = rulebooks["irc-2021"]
    tables = {name: hashlib.sha256(text.encode()).hexdigest() for name, text in _texts(book).items()}
    assert {name: table.digest for name, table in book.tables.items()} == tables
    lines = "".join(f"{name}\t{digest}\n" for name, digest in sorted(tables.items()))
    assert book.digest == hashlib.sha256(lines.encode()).hexdigest()


def test_one_changed_cell_changes_the_digest(rulebooks: Books) -> None:
    book = rulebooks["irc-2021"]
    texts = _texts(book)
    assert build_rulebook(META, texts).digest == book.digest
    texts["joist_spans"] = texts["joist_spans"].replace(",168,", ",167,", 1)
    assert build_rulebook(META, texts).digest != book.digest


@pytest.mark.parametrize(
    "missing", ["joist_cantilevers", "footing_sizes", "beam_joist_span_factors", "settings"]
)
def test_a_table_its_own_rules_read_may_not_be_missing(rulebooks: Books, missing: str) -> None:
    texts = _texts(rulebooks["irc-2021"])
    del texts[missing]
    with pytest.raises(TableRefused, match=missing):
        build_rulebook(META, texts)


def test_source_ids_must_resolve(rulebooks: Books) -> None:
    texts = _texts(rulebooks["irc-2021"])
    texts["sources"] = "".join(
        line for line in texts["sources"].splitlines(True) if not line.startswith("s008")
    )
    with pytest.raises(TableRefused, match="unknown source 's008'"):
        build_rulebook(META, texts)


def test_a_table_of_another_book_is_refused(rulebooks: Books) -> None:
    texts = _texts(rulebooks["irc-2021"]) | {
        "ledger_placement": rulebooks["irc-2024"].tables["ledger_placement"].text
    }
    with pytest.raises(TableRefused, match="ledger_placement of irc-2024"):
        build_rulebook(META, texts)


def test_bad_meta_is_refused_by_name() -> None:
    with pytest.raises(TableRefused, match=r"rulebook\.toml"):
        build_rulebook(META.replace('kind = "code"', 'kind = "novel"'), {})


def test_a_bad_setting_is_refused(rulebooks: Books) -> None:
    texts = _texts(rulebooks["irc-2021"])
    texts["settings"] = texts["settings"].replace("factored_span", "guessed")
    with pytest.raises(TableRefused, match="beam_lookup_rule"):
        build_rulebook(META, texts)


@pytest.mark.parametrize("code", CODES)
def test_limit_keys_are_unique_across_tables(rulebooks: Books, code: str) -> None:
    keys = [
        row[0]
        for name in LIMIT_TABLES
        if name in rulebooks[code].tables
        for row in rulebooks[code].tables[name].rows
    ]
    assert len(keys) == len(set(keys)) > 100


def test_limits_are_cited_by_their_own_section(rulebooks: Books) -> None:
    rise = rulebooks["irc-2024"].limit("riser_height")
    assert (rise.value, rise.citation.section, rise.citation.table) == (7.75, "R318.7.5.1", None)
    live = rulebooks["irc-2018"].limit("deck_live_load")
    assert (live.value, live.citation.section, live.citation.table) == (40, "R301.5", "Table R301.5")
    assert rulebooks["irc-2015"].limit("flight_rise").value == 147
    assert rulebooks["irc-2018"].limit("flight_rise").value == 151
    assert live.steps[0].unit == "psf"


def test_a_limit_in_words_is_found_without_a_number(rulebooks: Books) -> None:
    size = rulebooks["irc-2021"].limit("ledger_size")
    assert (size.value, size.text, size.outcome) == (None, "2x8", "found")


def test_a_limit_the_edition_does_not_have_is_off_the_table(rulebooks: Books) -> None:
    assert rulebooks["irc-2015"].limit("stainless_within_salt_water").outcome == "off_table"
    assert rulebooks["irc-2018"].limit("stainless_within_salt_water").value == 300


@pytest.mark.parametrize("code", CODES)
def test_settings_agree_with_the_rows_they_repeat(rulebooks: Books, code: str) -> None:
    book = rulebooks[code]
    settings = book.in_force_settings
    assert settings.guard_height_in == book.limit("guard_height").value
    assert settings.beam_overhang_ratio == book.limit("beam_overhang_limit").value
    heights = [row[5] for row in book.tables["post_heights"].rows if row[5] is not None]
    assert settings.post_table_max_height_in == max(heights)
    assert settings.snow_table_max_psf == max(book.tables["joist_spans"].printed_values("load_psf"))
    assert settings.footing_table == ("footing_sizes" in book.tables)


def test_memory_values_say_so(rulebooks: Books) -> None:
    placement = rulebooks["irc-2021"].tables["ledger_placement"]
    key = {"member": "ledger 2x10", "dimension": "bottom fastener row to top edge of ledger"}
    reading = exact(placement, key, "min_in")
    assert (reading.value, reading.citation.status) == (6.5, "memory")
    assert (reading.citation.section, reading.citation.table) == ("IRC Figure R507.9.1.3(1)", None)


def test_our_conventions_are_not_cited_as_code(rulebooks: Books) -> None:
    ours = rulebooks["irc-2021"].setting("own_weight_rule")
    assert (ours.text, ours.citation.document) == ("gross", "convention of this service")
    theirs = rulebooks["irc-2021"].setting("beam_lookup_rule").citation
    assert (theirs.document, theirs.section) == ("International Residential Code", "IRC 2021 Table R507.5(5)")


@pytest.mark.parametrize(
    ("day", "book"),
    [
        (date(2015, 1, 1), None), (date(2016, 7, 1), "irc-2015"), (date(2022, 12, 31), "irc-2018"),
        (date(2023, 1, 1), "irc-2021"), (date(2026, 11, 25), "irc-2021"),
    ],
)  # fmt: skip
def test_rulebook_in_force_by_date(jurisdictions: Places, day: date, book: str | None) -> None:
    assert rulebook_in_force(jurisdictions["alder-county"], day) == book


def test_every_place_is_whole(rulebooks: Books, jurisdictions: Places) -> None:
    assert len(jurisdictions) == 5
    for name, place in jurisdictions.items():
        assert place.id == name
        assert "(invented)" in place.name
        assert ZoneInfo(place.time_zone).key == place.time_zone
        assert adoption_faults(place, rulebooks) == []


def test_adoption_of_an_unknown_book_or_a_guide_is_a_fault(rulebooks: Books, jurisdictions: Places) -> None:
    place = jurisdictions["alder-county"]
    for wrong in ("irc-2033", "dca-6"):
        adopted = msgspec.structs.replace(place.adoptions[-1], rulebook=wrong)
        moved = msgspec.structs.replace(place, adoptions=(*place.adoptions, adopted))
        assert [wrong in fault.text for fault in adoption_faults(moved, rulebooks)] == [True]


def test_digest_of_a_place_ignores_layout_only() -> None:
    text = 'id = "a-b"\nversion = 1\n'
    assert canonical_form(text) == canonical_form('version=1\n\nid =  "a-b" # note\n')
    assert canonical_form(text) != canonical_form(text.replace("1", "2"))


def test_amendments_change_the_cell_and_its_citation(rulebooks: Books, jurisdictions: Places) -> None:
    book = rulebooks["irc-2018"]
    here = apply_amendments(book, jurisdictions["sallowmere-bay"])
    guard = here.limit("guard_height")
    assert (guard.value, guard.amended) == (42, ("guards-42",))
    law = guard.citation
    assert law.section == "15.04.060 (a)"
    assert [(row.name, row.value) for row in law.rows] == [("key", "guard_height")]
    assert [(step.symbol, step.value, step.unit) for step in guard.steps] == [
        ("printed_before_amendment", 36, "in"), ("value", 42, "in"),
    ]  # fmt: skip
    assert guard.steps[1].source.endswith(f"as {law.document} {law.section} has it")
    assert here.in_force_settings.guard_height_in == 42
    assert here.limit("stainless_within_salt_water").value == 3000
    assert [(a.id, a.printed, a.value) for a in here.amendments] == [
        ("guards-42", "36", "42"), ("stainless-3000", "300", "3000"),
    ]  # fmt: skip
    assert (here.id, here.digest, here.unapplied) == (book.id, book.digest, ())
    assert book.limit("guard_height").value == 36


def test_an_amendment_without_a_row_is_named(rulebooks: Books, jurisdictions: Places) -> None:
    here = apply_amendments(rulebooks["irc-2015"], jurisdictions["sallowmere-bay"])
    assert here.unapplied == ("stainless-3000",)
    assert here.limit("guard_height").value == 42


def test_local_settings_stand_over_the_rulebook(rulebooks: Books, jurisdictions: Places) -> None:
    here = apply_amendments(rulebooks["irc-2015"], jurisdictions["sundrel-flats"])
    assert here.in_force_settings.freestanding_post_limit_in == 72
    assert here.in_force_settings.own_weight_rule == "full"
    reading = here.setting("freestanding_post_limit_in")
    assert (reading.value, reading.amended) == (72, ("sundrel-flats",))
    assert reading.citation.document.startswith("local settings of City of Sundrel Flats")
    assert rulebooks["irc-2015"].in_force_settings.freestanding_post_limit_in == 96


def test_an_amended_suspect_cell_is_no_longer_suspect(rulebooks: Books, jurisdictions: Places) -> None:
    change = Amendment(
        id="factor",
        title="Factor",
        table="beam_joist_span_factors",
        match={"cantilever_to_span_ratio": 0.0833},
        column="joist_span_factor",
        value=0.75,
        citation=LAW,
    )
    place = msgspec.structs.replace(jurisdictions["alder-county"], amendments=(change,))
    factors = apply_amendments(rulebooks["irc-2021"], place).tables["beam_joist_span_factors"]
    reading = exact(factors, {"cantilever_to_span_ratio": 0.0833}, "joist_span_factor")
    assert (reading.value, reading.suspect, reading.citation.document) == (0.75, False, LAW.document)
    between = linear(factors, {}, "joist_span_factor", 0.09)
    assert between.amended == ("factor",)


def test_a_guide_takes_no_amendments(rulebooks: Books, jurisdictions: Places) -> None:
    assert apply_amendments(rulebooks["dca-6"], jurisdictions["sundrel-flats"]) is rulebooks["dca-6"]


def test_round_trip_of_a_place(jurisdictions: Places) -> None:
    assert len({place.digest for place in jurisdictions.values()}) == 5
    with pytest.raises(TableRefused):
        parse_jurisdiction("", "empty.toml")
