"""The one registry of words: every code of request and answer, its meaning and first version."""

from __future__ import annotations

from service.contract.words.answer_words import ANSWER_LISTS
from service.contract.words.audit_words import AUDIT_LISTS
from service.contract.words.cautions import CAUTION_LISTS
from service.contract.words.check_words import CHECK_LISTS
from service.contract.words.errors import ERROR_LISTS
from service.contract.words.frame_words import FRAME_LISTS
from service.contract.words.house_words import HOUSE_LISTS
from service.contract.words.member_words import MEMBER_LISTS
from service.contract.words.problems import PROBLEMS
from service.contract.words.reasons import REASON_LISTS
from service.contract.words.word import ProblemKind, WordList, open_list

__all__ = ["PROBLEM_KINDS", "REGISTRY", "ProblemKind", "WordList", "known", "meaning", "problem_kind"]

PROBLEM_KINDS: dict[str, ProblemKind] = {kind.code: kind for kind in PROBLEMS}

_LISTS: tuple[WordList, ...] = (
    *HOUSE_LISTS,
    *FRAME_LISTS,
    *MEMBER_LISTS,
    *ANSWER_LISTS,
    *CHECK_LISTS,
    *REASON_LISTS,
    *CAUTION_LISTS,
    *ERROR_LISTS,
    *AUDIT_LISTS,
    open_list("problem", {kind.code: f"{kind.title}." for kind in PROBLEMS}),
)
REGISTRY: dict[str, WordList] = {words.name: words for words in _LISTS}


def known(name: str) -> tuple[str, ...]:
    """Return the codes of a list in their order: a schema's enum or its x-known-values.

    >>> known("verdict.status")
    ('prescriptive', 'engineer_required', 'not_permitted')
    """
    return tuple(word.code for word in REGISTRY[name].words)


def meaning(name: str, code: str) -> str:
    """Return what a code of a list means.

    >>> meaning("reason.not_permitted", "ledger_on_veneer")
    'A ledger may not bear on a veneer.'
    """
    return next(word.meaning for word in REGISTRY[name].words if word.code == code)


def problem_kind(code: str) -> ProblemKind:
    """Return the status, title and page of a problem code.

    >>> problem_kind("invalid_spec").status
    422
    """
    return PROBLEM_KINDS[code]
