"""A second version of a bundled rulebook, as an erratum would make it, and a place whose law fits the first only."""

from __future__ import annotations

from functools import cache

from service.rules.rulebook import Rulebook, build_rulebook
from service.store.bundled import bundled
from service.store.texts import Bundle, NamedText, RulebookText

FIRST, SECOND = "irc-2021@1", "irc-2021@2"
ID, VERSION = 'id = "irc-2021"', "\nversion = 1\n"
JOIST_ROW, SHORTER_ROW = (f"\n40,live,southern_pine,2x8,16,{span_in},,,s008\n" for span_in in (142, 138))
NARROW, WIDER = (
    f"\nstair_width,R311.7.1,stair clear width above handrail height,{width_in}," for width_in in (36, 44)
)
SALT_WATER = "\nstainless_within_salt_water,"
PLACE = "tollgate-county"
LAW = """
[[amendments]]
id = "stainless-3000"
title = "Stainless fasteners within 3,000 ft of salt water"
table = "connection_rules"
match = { key = "stainless_within_salt_water" }
column = "value"
value = 3000
citation = { document = "Tollgate County building ordinance (invented)", section = "9.1", status = "own_convention" }
"""


def changed(text: str, *changes: tuple[str, str]) -> str:
    """A text with some of its parts replaced, each of which it has once."""
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def second_version() -> RulebookText:
    """The texts of the second version: one joist span shorter, stairs wider, no row on salt water."""
    first = next(one for one in bundled().rulebooks if ID in one.meta)
    tables = dict(first.tables)
    tables["joist_spans"] = changed(tables["joist_spans"], (JOIST_ROW, SHORTER_ROW))
    tables["stair_and_guard_limits"] = changed(tables["stair_and_guard_limits"], (NARROW, WIDER))
    rules = tables["connection_rules"]
    start = rules.index(SALT_WATER)
    tables["connection_rules"] = changed(rules, (rules[start : rules.index("\n", start + 1)], ""))
    later = (
        "published_on = 2026-11-25",
        "published_on = 2099-01-01",
    )  # announced for as long as anyone runs this
    return RulebookText(changed(first.meta, (VERSION, "\nversion = 2\n"), later), tables)


@cache
def second_rulebook() -> Rulebook:
    """The second version, parsed."""
    given = second_version()
    return build_rulebook(given.meta, given.tables)


def place_of_the_first() -> NamedText:
    """A place whose law amends the row that the second version has no more."""
    alder = next(one for one in bundled().jurisdictions if one.name == "alder-county.toml")
    text = changed(
        alder.text, ('id = "alder-county"', f'id = "{PLACE}"'), ("Alder County", "Tollgate County")
    )
    return NamedText(f"{PLACE}.toml", text + LAW)


def later_bundle() -> Bundle:
    """What is published after everything that comes with the service."""
    return Bundle(rulebooks=(second_version(),), jurisdictions=(place_of_the_first(),))
