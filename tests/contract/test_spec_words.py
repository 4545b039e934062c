"""The registry of words: complete, unambiguous, each with a meaning; ids in their forms."""

from __future__ import annotations

import re

import pytest

from service.contract import ids
from service.contract.vocabulary import PROBLEM_KINDS, REGISTRY, known

CODED = [name for name in REGISTRY if name.split(".")[0] in ("reason", "caution", "risk", "check", "error")]


@pytest.mark.parametrize("name", REGISTRY)
def test_spec_words_are_each_there_once_with_a_meaning(name: str) -> None:
    words = REGISTRY[name].words
    assert len({word.code for word in words}) == len(words)
    assert all(word.meaning.endswith(".") and word.since == "1.0.0" for word in words)


@pytest.mark.parametrize("name", [*CODED, "problem"])
def test_spec_codes_have_the_form_of_codes(name: str) -> None:
    assert all(ids.CODE.fullmatch(code) for code in known(name))


def test_spec_verdict_reasons_do_not_repeat_between_verdicts() -> None:
    assert not set(known("reason.engineer_required")) & set(known("reason.not_permitted"))


def test_spec_problems_have_a_page_and_an_error_status() -> None:
    for kind in PROBLEM_KINDS.values():
        assert 400 <= kind.status < 600
        assert len(kind.page) > 60
        assert not re.search(r"\s{2,}", kind.page)


@pytest.mark.parametrize("text", ["irc-2021", "irc-2021@2", "brindlemoor-yard@12"])
def test_spec_pinned_names_are_read(text: str) -> None:
    read = ids.pinned(text)
    assert text == (ids.pinned_text(read.name, read.version) if read.version else read.name)


@pytest.mark.parametrize("text", ["irc-2021@0", "irc-2021@02", "irc-2021@", "IRC", "a", "a--b", "x" * 41])
def test_spec_other_names_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a name"):
        ids.pinned(text)


@pytest.mark.parametrize(
    "text",
    [
        "lumber.2x10.southern_pine.no_2.uc3b",
        "post.6x6.southern_pine.no_2.uc4b",
        "decking.5-4x6.wood",
        "concrete.bag.60lb",
        "concrete.ready_mix.3000psi",
        "joist_hanger.2x10.1ply.hot_dip_galvanized",
    ],
)
def test_spec_item_codes_are_built(text: str) -> None:
    assert ids.item(*text.split(".")) == text
    assert ids.item_kind(text) in known("item.kind")


def test_spec_item_code_out_of_form_is_refused() -> None:
    with pytest.raises(ValueError, match="is not an item code"):
        ids.item("Lumber", "2 x 10")


def test_spec_member_ids_are_valid_ids() -> None:
    stair = ids.deck_member("stair", 1)
    for text in (ids.member("main", "footing", 2, 3), stair, ids.part(stair, "stringer", 2)):
        assert ids.MEMBER.fullmatch(text)
