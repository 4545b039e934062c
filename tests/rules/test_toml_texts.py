"""TOML texts that would cost much to read are refused before they are read; none ends in another error."""

from __future__ import annotations

import tracemalloc

import pytest

from service.rules.faults import TableRefused
from service.rules.jurisdiction import canonical_form, parse_jurisdiction
from service.rules.rulebook import parse_meta
from service.rules.toml_text import LONGEST_LINE, MOST_CHARACTERS, read_toml

KEY = ".".join(["a"] * 60_000)
SPLIT = "\n".join([".".join(["a"] * 1_990) + f" = {n}" for n in range(60)])
BOMBS = {
    "dotted_key": (f"{KEY} = 1\n", 1, "characters"),
    "dotted_keys_on_lines": (f"id = 'x'\n{SPLIT}\n", 2, "more than 20 dots"),
    "dotted_header": (f"[{'a.' * 21}a]\n", 1, "more than 20 dots"),
    "quoted_key": ("\"a\" . 'b' ." * 11 + "c = 1\n", 1, "more than 20 dots"),
    "key_in_an_inline_table": (f"x = {{ {'a.' * 21}a = 1 }}\n", 1, "more than 20 dots"),
    "arrays": (f"x = {'[' * 2000}{']' * 2000}\n", 1, "characters"),
    "arrays_on_lines": ("x = " + "[\n" * 2000 + "]\n" * 2000, 21, "more than 20 others"),
    "inline_tables": (f"x = {'{a = ' * 500}1{'}' * 500}\n", 1, "more than 20 others"),
    "after_a_string": ('s = """\n"q"""""\n' + f"{'a.' * 21}a = 1\n", 3, "more than 20 dots"),
    "long_text": ("# a line\n" * 30_000, 1, f"at most {MOST_CHARACTERS}"),
    "long_line": ("x = 1\n# " + "a" * LONGEST_LINE, 2, f"at most {LONGEST_LINE}"),
}
NUMBERS = {
    "decimal": "9" * 3_990,
    "hexadecimal": "0x" + "f" * 3_980,
    "day": "9999-99-99",
    "exponent": "1e999999",
}


@pytest.mark.parametrize("name", BOMBS)
def test_what_would_cost_much_is_refused_at_once(name: str) -> None:
    text, line, words = BOMBS[name]
    tracemalloc.start()
    try:
        for read in (
            lambda: read_toml(text, "a.toml"),
            lambda: parse_jurisdiction(text, "a.toml"),
            lambda: parse_meta(text, "a.toml"),
        ):
            with pytest.raises(TableRefused) as refused:
                read()
            fault = refused.value.faults[0]
            assert (fault.file, fault.line) == ("a.toml", line)
            assert words in fault.text
        with pytest.raises(TableRefused):
            canonical_form(text)
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("name", NUMBERS)
@pytest.mark.parametrize("key", ["version", "site.frost_depth_in", "x"])
def test_a_number_no_program_takes_is_a_fault(name: str, key: str) -> None:
    for read in (parse_jurisdiction, parse_meta):
        with pytest.raises(TableRefused):
            read(f"{key} = {NUMBERS[name]}\n", "a.toml")


def test_a_number_of_too_many_digits_is_told_in_few_words() -> None:
    for digits in ("0x" + "f" * 3_980, "0b" + "1" * 3_000):
        with pytest.raises(TableRefused) as refused:
            parse_jurisdiction(f"x = {digits}\n", "a.toml")
        assert len(refused.value.faults[0].text) < 200


def test_dots_and_brackets_within_texts_and_remarks_are_no_keys() -> None:
    dots, brackets = "a." * 40, "[{" * 40
    text = f"""# {dots} {brackets}
a = "{dots} \\" {brackets}"
b = '{dots} {brackets}'
c = \"\"\"
{dots} " "" {brackets}\"\"\"\"
d = '''{dots}
{brackets} ' '''
e = [0.5, 1.5, 2.5, 3.5, 4.5, 0.5, 1.5, 2.5, 3.5, 4.5, 0.5, 1.5, 2.5, 3.5, 4.5, 0.5, 1.5, 2.5, 3.5, 4.5, 0.5, 1.5]
{"a1." * 0}f.g.h = [[[1]]]
"""
    assert list(read_toml(text, "a.toml")) == ["a", "b", "c", "d", "e", "f"]
