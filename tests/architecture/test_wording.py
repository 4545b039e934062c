"""No file names a machine, a registry or a helper tool, and none holds unfinished work."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

# In halves, so that this file does not hold the words it looks for.
PLACES = [
    ("/wo", "rk/"), ("/fa", "rm/"), ("/tm", "p/venv"), ("sha", "red/"), ("/roo", "t/"), ("/ho", "me/"),
    ("site-pack", "ages/"),
]  # fmt: skip
HOSTS = [
    ("pypi", ".org"),
    ("pythonhosted", ".org"),
    ("registry.npm", "js"),
    ("--index", "-url"),
    ("crates", ".io"),
]
TOOLS = [
    ("cla", "ude"),
    ("anthro", "pic"),
    ("chat", "gpt"),
    ("open", "ai"),
    ("co", "pilot"),
    ("tran", "script"),
    ("yout", "ube"),
]
UNFINISHED = [
    ("TO", "DO"), ("FIX", "ME"), ("XX", "X"), ("NotImplemented", "Error"), ("pytest.", "skip"), ("mark.", "skip"),
    ("mark.x", "fail"), ("importor", "skip"),
]  # fmt: skip
WORDS = re.compile("|".join(rf"(?<!\w){re.escape(a + b)}(?!\w)" for a, b in [*HOSTS, *TOOLS]), re.IGNORECASE)
PATHS = re.compile("|".join(re.escape(a + b) for a, b in PLACES))
WORK = re.compile("|".join([*(rf"\b{re.escape(a + b)}" for a, b in UNFINISHED), r"^[<>]{7} "]))
VENDORED = "web/assets/swagger-ui/"  # what others have not finished is theirs to finish
SILENCED = re.compile(r"#\s*type:\s*ignore(?!\[)|#\s*noqa(?!:\s*[A-Z]+\d)")
TEXT = {
    ".py",
    ".md",
    ".toml",
    ".csv",
    ".json",
    ".html",
    ".js",
    ".css",
    ".txt",
    ".yml",
    ".yaml",
    ".mako",
    ".cfg",
    "",
}


def _found(text: str, wanted: re.Pattern[str]) -> list[str]:
    return [
        f"{number}: {match.group()}"
        for number, line in enumerate(text.splitlines(), start=1)
        if (match := wanted.search(line))
    ]


@pytest.fixture(scope="module")
def texts(root: Path, files: list[Path]) -> dict[str, str]:
    others = {root / "tests" / "published" / "reference"}
    return {
        file.relative_to(root).as_posix(): file.read_text(encoding="utf-8")
        for file in files
        if file.suffix in TEXT and others.isdisjoint(file.parents)
    }


@pytest.mark.parametrize("wanted", [PATHS, WORDS, WORK], ids=["places", "hosts-tools", "unfinished"])
def test_no_file_holds_a_forbidden_word(texts: dict[str, str], wanted: re.Pattern[str]) -> None:
    kept = {place: text for place, text in texts.items() if wanted is not WORK or VENDORED not in place}
    found = [f"{place}:{hit}" for place, text in kept.items() for hit in _found(text, wanted)]
    assert not found, "\n".join(found)


def test_every_silenced_rule_is_named(texts: dict[str, str]) -> None:
    found = [
        f"{place}:{hit}"
        for place, text in texts.items()
        if place.endswith(".py")
        for hit in _found(text, SILENCED)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(("first", "second"), [*PLACES, *HOSTS, *TOOLS])
def test_each_forbidden_word_is_found(first: str, second: str) -> None:
    assert any(_found(f"see {first}{second} there", wanted) for wanted in (PATHS, WORDS))
    assert not any(_found(f"see {first} {second} there", wanted) for wanted in (PATHS, WORDS))


def test_a_merge_left_undone_is_found() -> None:
    assert all(_found(f"a\n{7 * sign} main\nb", WORK) for sign in "<>")


def test_silence_without_a_rule_is_found() -> None:
    marks = ("type: ignore", "no" + "qa")
    assert all(_found(f"x = 1  # {mark}", SILENCED) for mark in marks)
    assert not _found(f"x = 1  # {marks[0]}[misc]\ny = 2  # {marks[1]}: S101 - a reason", SILENCED)
