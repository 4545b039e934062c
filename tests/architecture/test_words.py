"""Every code the service writes is in the registry of words, with its meaning."""

from __future__ import annotations

import ast
import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.checks.verdict import FORBIDDING
from service.contract.report import DesignReport
from service.contract.vocabulary import REGISTRY
from service.pipeline import design
from service.web.desk import Desk
from service.web.resolve import context_of, read_spec

WHY = ("reason.engineer_required", "reason.not_permitted", "reason.attachment")
# What a callable's argument is: the argument's place and name, and the lists its words are in.
CALLS: dict[str, tuple[int, str, tuple[str, ...]]] = {
    "Reason": (-1, "code", WHY),
    "reason": (0, "code", WHY),
    "_reason": (0, "code", WHY),
    "Caution": (-1, "code", ("caution",)),
    "caution": (0, "code", ("caution",)),
    "MemberRefusal": (1, "code", ("member_checks.refusal", *WHY)),
    "CodedText": (0, "code", (*WHY, "caution", "risk", "material.why_not", "preference.why_not")),
    "FastenerChange": (-1, "part", ("material.fastener",)),
    "Risk": (-1, "code", ("risk",)),
    "risk": (0, "code", ("risk",)),
    "Fault": (1, "code", ("error",)),
    "Rejected": (0, "code", ("problem",)),
    "at_most": (1, "check", ("check",)),
    "at_least": (1, "check", ("check",)),
    "yes_no": (1, "check", ("check",)),
    "_most": (1, "check", ("check",)),
    "_least": (1, "check", ("check",)),
    "Permit": (-1, "kind", ("permit",)),
    "Inspection": (-1, "kind", ("inspection",)),
}


def _name(call: ast.Call) -> str:
    return call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")


def _literals(node: ast.expr) -> Iterator[str]:
    """The words an argument may be: a literal, or either branch of a choice between literals."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body)
        yield from _literals(node.orelse)


def _argument(call: ast.Call, place: int, name: str) -> ast.expr | None:
    named = next((one.value for one in call.keywords if one.arg == name), None)
    return named if named is not None or not 0 <= place < len(call.args) else call.args[place]


def _written(tree: ast.Module) -> Iterator[tuple[int, str, tuple[str, ...]]]:
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or _name(node) not in CALLS:
            continue
        place, name, lists = CALLS[_name(node)]
        argument = _argument(node, place, name)
        if argument is not None:
            yield from ((node.lineno, word, lists) for word in _literals(argument))


def _known(lists: tuple[str, ...]) -> set[str]:
    return {word.code for name in lists for word in REGISTRY[name].words}


def _unknown(tree: ast.Module) -> list[str]:
    return [
        f"{line} {word}: not in {', '.join(lists)}"
        for line, word, lists in _written(tree)
        if word not in _known(lists)
    ]


def test_every_code_written_is_registered(sources: Any) -> None:
    unknown = [
        f"{source.place}:{fault}" for source in sources if source.package for fault in _unknown(source.tree)
    ]
    assert not unknown, "\n".join(unknown)


def test_codes_are_read_where_they_are_written(sources: Any) -> None:
    count = sum(1 for source in sources if source.package for _ in _written(source.tree))
    assert count > 150


@pytest.mark.parametrize(
    "line",
    [
        "Reason(code='because', text='x')",
        "caution('mind', 'x', 'y')",
        "at_most(member, 'joist_spam', 'table', 1, 2, 'in', cited)",
        "words.Fault(at, 'wrong' if x else 'missing', 'x')",
    ],
)
def test_a_code_outside_the_registry_is_found(line: str) -> None:
    assert len(_unknown(ast.parse(line))) == 1
    assert not _unknown(ast.parse("Reason(code='check_failed', text='x')"))


def test_no_word_stands_twice_in_a_list_and_each_says_what_it_means() -> None:
    for name, words in REGISTRY.items():
        codes = [word.code for word in words.words]
        assert len(codes) == len(set(codes)), name
        assert all(word.meaning.strip() for word in words.words), name


def test_the_reasons_that_forbid_are_those_the_verdict_forbids_by() -> None:
    assert _known(("reason.not_permitted",)) == FORBIDDING


def test_the_tasks_of_the_schedule_are_those_of_its_table(root: Path) -> None:
    text = (root / "service" / "rulebooks" / "foundations" / "schedule.csv").read_text(encoding="utf-8")
    assert _known(("schedule.task",)) == {row["task"] for row in csv.DictReader(text.splitlines())}


def _answered(report: DesignReport) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each word of a report, with the lists it is to be in: what tables of words put there is seen here."""
    yield from ((one.code, WHY) for one in report.verdict.reasons)
    yield from ((one.code, WHY) for option in report.attachment.options for one in option.because)
    yield from ((one.code, ("caution",)) for one in report.cautions)
    yield from ((one.check, ("check",)) for one in report.checks)
    for method in report.footing_comparison.methods:
        yield from ((one.code, (*WHY, "risk")) for one in method.why_not)
        yield from ((one.code, ("risk",)) for one in method.risks)
    yield from ((one.kind, ("permit",)) for one in report.permits.permits)
    yield from ((one.kind, ("inspection",)) for one in report.permits.inspections)


def test_every_word_of_the_example_answers_is_registered(root: Path, desk: Desk) -> None:
    files = [one for one in (root / "openapi" / "examples").glob("*.json") if "answer" not in one.name]
    specs = [read_spec(file.read_bytes(), desk) for file in files]
    # other frames and wishes are told in words that _answered does not read: designs without them say the same
    answers = [word for spec in specs for word in _answered(design(spec, context_of(spec, desk)))]
    assert len(answers) > 300
    assert not {f"{word} not in {', '.join(lists)}" for word, lists in answers if word not in _known(lists)}
