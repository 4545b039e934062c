"""A deck spec body is read strictly, and refused with every fault at once."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.contract.canonical import canonical
from service.contract.faults import deck_spec
from service.contract.problem import Rejected
from service.contract.spec import DeckSpec
from service.contract.strict import Limits, decode
from service.contract.structure import described, faults_in, without_nulls
from service.contract.vocabulary import known

FIXTURES = Path(__file__).parent / "fixtures"
SMALLEST = json.loads((FIXTURES / "deck_spec_smallest.json").read_text())
FULL = json.loads((FIXTURES / "deck_spec_full.json").read_text())


def refused(body: bytes) -> Rejected:
    with pytest.raises(Rejected) as caught:
        deck_spec(body)
    return caught.value


def codes_of(body: bytes, read: Callable[[bytes], object] = deck_spec) -> set[str]:
    try:
        read(body)
    except Rejected as fault:
        return {fault.code, *(one.code for one in fault.faults)}
    return set()


def faults_of(spec: Any) -> dict[str, str]:
    return {fault.pointer: fault.code for fault in refused(json.dumps(spec).encode()).faults}


@pytest.mark.parametrize("name", ["deck_spec_full.json", "deck_spec_smallest.json"])
def test_spec_example_decodes(name: str) -> None:
    assert isinstance(deck_spec((FIXTURES / name).read_bytes()), DeckSpec)


def test_spec_defaults_of_the_smallest() -> None:
    spec = deck_spec(json.dumps(SMALLEST).encode())
    level = spec.levels[0]
    assert (spec.house.wall, spec.house.excavation_slope, spec.site.soil_class) == (
        "unknown",
        "type_c",
        "unknown",
    )
    assert (level.id, level.guard.extent, level.guard.post_mount, level.guard.post_spacing_ft) == (
        "main",
        "as_required",
        "side",
        6.0,
    )
    assert (spec.framing.species, spec.framing.grade, spec.site.live_load_psf) == (
        "southern_pine",
        "no_2",
        None,
    )


def test_spec_posted_back_is_the_same() -> None:
    spec = deck_spec(json.dumps(FULL).encode())
    again = deck_spec(msgspec.json.encode(spec))
    assert again == spec
    assert canonical(again) == canonical(spec)


def test_spec_null_is_absent_everywhere() -> None:
    with_nulls = json.loads(json.dumps(SMALLEST))
    with_nulls |= dict.fromkeys(("site", "house", "stairs", "framing", "crew", "schedule", "as_of"))
    with_nulls["levels"][0] |= dict.fromkeys(("id", "decking", "guard", "origin_ft", "outline_ft"))
    with_nulls["foundation"] = {"method": None}
    assert deck_spec(json.dumps(with_nulls).encode()) == deck_spec(json.dumps(SMALLEST).encode())


def test_spec_null_under_an_unknown_name_is_refused() -> None:
    assert faults_of(SMALLEST | {"porch": None}) == {"/porch": "unknown_field"}


def test_spec_whole_float_is_a_whole_number() -> None:
    assert decode(json.dumps(FULL).replace('"edge": 2', '"edge": 2.0').encode(), DeckSpec).stairs[0].edge == 2


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"", "not_json"),
        (b"{", "not_json"),
        (b"\xff\xfe", "not_json"),
        (b"\xef\xbb\xbf{}", "not_json"),
        (b'{"as_of": NaN}', "not_json"),
        (b'{"as_of": -Infinity}', "not_json"),
        (b'{"as_of": 1e999}', "not_json"),
        (b'{"as_of": 1' + b"0" * 309 + b"}", "not_json"),
        (b'{"as_of": 9' + b"9" * 5000 + b"}", "not_json"),
        (b'{"reference": "a\\u0000"}', "not_json"),
        (b'{"reference": "a\x00"}', "not_json"),
        (b'{"reference": "\\ud800"}', "not_json"),
        (b'{"a\\u0000": 1}', "not_json"),
        (b'{"levels": [], "levels": []}', "duplicate_key"),
        (b'{"site": {"a": 1, "\\u0061": 2}}', "duplicate_key"),
        (b"[" * 33 + b"]" * 33, "too_deep"),
        (b'{"a":' * 40 + b"1" + b"}" * 40, "too_deep"),
        (b"[1]", "invalid_spec"),
        (b"null", "invalid_spec"),
    ],
)
def test_spec_body_is_refused(body: bytes, code: str) -> None:
    assert refused(body).code == code


def test_spec_brackets_inside_a_text_are_not_nesting() -> None:
    assert refused(b'{"reference": "' + b"[" * 60 + b'"}').code == "invalid_spec"


def test_spec_escaped_backslash_before_u0000_is_not_a_nul() -> None:
    assert refused(b'{"reference": "a\\\\u0000"}').code == "invalid_spec"


FIELD_CASES: dict[str, tuple[dict[str, Any], str, str]] = {
    "wrong_type": ({"levels": {}}, "/levels", "wrong_type"),
    "text_for_number": ({"site": {"frost_depth_in": "32"}}, "/site/frost_depth_in", "wrong_type"),
    "number_for_text": ({"reference": 7}, "/reference", "wrong_type"),
    "bool_for_number": ({"site": {"frost_depth_in": True}}, "/site/frost_depth_in", "wrong_type"),
    "bool_for_whole": ({"framing": {"beam_plies": True}}, "/framing/beam_plies", "wrong_type"),
    "number_for_bool": ({"site": {"roof_above_eave": 1}}, "/site/roof_above_eave", "wrong_type"),
    "fraction_for_whole": ({"framing": {"beam_plies": 1.5}}, "/framing/beam_plies", "wrong_type"),
    "null_in_list": ({"stairs": [None]}, "/stairs/0", "wrong_type"),
    "number_for_date": ({"as_of": 2026}, "/as_of", "wrong_type"),
    "number_for_word": ({"house": {"wall": 1}}, "/house/wall", "wrong_type"),
    "missing": ({"crew": {}}, "/crew/currency", "missing"),
    "unknown_field": ({"hoose": {}}, "/hoose", "unknown_field"),
    "escaped_pointer": ({"a/b~": 1}, "/a~1b~0", "unknown_field"),
    "out_of_range": ({"site": {"frost_depth_in": 121}}, "/site/frost_depth_in", "out_of_range"),
    "huge_number": ({"site": {"frost_depth_in": 1e300}}, "/site/frost_depth_in", "out_of_range"),
    "huge_whole": ({"framing": {"beam_plies": 10**30}}, "/framing/beam_plies", "out_of_range"),
    "not_in_list": ({"house": {"wall": "marble"}}, "/house/wall", "not_in_list"),
    "bad_pattern": ({"jurisdiction": "Alder County"}, "/jurisdiction", "bad_pattern"),
    "newline_at_end": ({"reference": "LEAD-1\n"}, "/reference", "bad_pattern"),
    "not_nfc": ({"reference": "Cafe\u0301"}, "/reference", "bad_pattern"),
    "other_digits": ({"reference": "LEAD-\u0664"}, "/reference", "bad_pattern"),
    "bad_date": ({"as_of": "2026-02-30"}, "/as_of", "bad_pattern"),
    "basic_date": ({"as_of": "20260228"}, "/as_of", "bad_pattern"),
    "draft_version": ({"rulebook": "irc-2021@0"}, "/rulebook", "bad_pattern"),
    "rate_range": (
        {"crew": {"currency": "USD", "hourly_rate": "1000.01"}},
        "/crew/hourly_rate",
        "bad_pattern",
    ),
    "too_long": ({"reference": "A" * 200}, "/reference", "too_long"),
    "too_many": ({"stairs": [{"edge": 1}] * 9}, "/stairs", "too_many"),
    "too_few": ({"levels": []}, "/levels", "too_few"),
    "point_of_three": (
        {"levels": [{"surface_height_in": 9, "outline_ft": [[0, 0, 0], [4, 0], [4, 4]]}]},
        "/levels/0/outline_ft/0",
        "too_many",
    ),
}


@pytest.mark.parametrize("case", FIELD_CASES)
def test_spec_field_fault(case: str) -> None:
    change, pointer, code = FIELD_CASES[case]
    assert faults_of(SMALLEST | change)[pointer] == code


def test_spec_not_finite_for_values_that_do_not_come_from_json() -> None:
    found = list(faults_in({"site": {"frost_depth_in": float("inf")}, "levels": [{}]}, described(DeckSpec)))
    assert ("/site/frost_depth_in", "not_finite") in [(fault.pointer, fault.code) for fault in found]


class FreeText(msgspec.Struct, forbid_unknown_fields=True):
    """A text with no form of its own."""

    job: str


@pytest.mark.parametrize(
    ("job", "codes"),
    [
        ("Caf\u00e9", set()),
        ("Cafe\u0301", {"invalid_spec", "bad_pattern"}),
        ("a\tb", {"invalid_spec", "bad_pattern"}),
        ("a\u0085b", {"invalid_spec", "bad_pattern"}),
        ("x" * 120, set()),
        ("x" * 121, {"invalid_spec", "too_long"}),
    ],
)
def test_spec_free_text_is_nfc_without_controls_and_short(job: str, codes: set[str]) -> None:
    def read(body: bytes) -> FreeText:
        return decode(body, FreeText)

    assert codes_of(json.dumps({"job": job}).encode(), read) == codes


class Joist(msgspec.Struct, tag="joist", tag_field="kind", forbid_unknown_fields=True):
    """One kind of member."""

    span_ft: float


class Post(msgspec.Struct, tag="post", tag_field="kind", forbid_unknown_fields=True):
    """Another kind of member."""

    height_ft: float


class Question(msgspec.Struct, forbid_unknown_fields=True):
    """A body with two kinds of member."""

    member: Joist | Post


@pytest.mark.parametrize(
    ("member", "pointers"),
    [
        ({"kind": "joist", "span_ft": 9}, {}),
        ({"kind": "joist"}, {"/member/span_ft": "missing"}),
        (
            {"kind": "post", "span_ft": 9},
            {"/member/height_ft": "missing", "/member/span_ft": "unknown_field"},
        ),
        ({"kind": "beam"}, {"/member/kind": "not_in_list"}),
        ({"span_ft": 9}, {"/member/kind": "missing"}),
        (7, {"/member": "wrong_type"}),
    ],
)
def test_spec_kinds_are_told_apart_by_their_tag(member: Any, pointers: dict[str, str]) -> None:
    found = faults_in({"member": member}, described(Question))
    assert {fault.pointer: fault.code for fault in found} == pointers


def test_spec_fault_says_what_is_allowed() -> None:
    bad = SMALLEST | {"site": {"frost_depth_in": 121}, "house": {"wall": "marble"}, "jurisdiction": "A"}
    allowed = {fault.pointer: fault.allowed for fault in refused(json.dumps(bad).encode()).faults}
    frost, wall, name = allowed["/site/frost_depth_in"], allowed["/house/wall"], allowed["/jurisdiction"]
    assert frost is not None
    assert (frost.min, frost.max) == (0.0, 120.0)
    assert wall is not None
    assert wall.one_of == tuple(sorted(known("house.wall")))
    assert name is not None
    assert name.pattern is not None


def test_spec_all_faults_at_once_those_between_fields_too() -> None:
    bad = {
        "reference": "-",
        "site": {"frost_depth_in": -1},
        "levels": [{"id": "main", "width_ft": 101, "projection_ft": 12, "surface_height_in": 34}],
        "stairs": [{"level": "attic", "edge": 1}],
        "as_of": "2026-13-01",
        "colour": "red",
    }
    assert faults_of(bad) == {
        "/reference": "bad_pattern",
        "/site/frost_depth_in": "out_of_range",
        "/levels/0/width_ft": "out_of_range",
        "/stairs/0/level": "unknown_level",
        "/as_of": "bad_pattern",
        "/colour": "unknown_field",
        "/jurisdiction": "missing",
    }


def test_spec_entries_of_a_list_too_long_are_not_walked() -> None:
    assert faults_of(SMALLEST | {"stairs": [{}] * 9}) == {"/stairs": "too_many"}


def test_spec_number_of_faults_is_bounded() -> None:
    fault = refused(json.dumps(SMALLEST | {f"k{n}": 1 for n in range(500)}).encode())
    assert len(fault.faults) == Limits().faults
    assert "the first 50" in fault.detail


@pytest.mark.parametrize(
    "body",
    [
        b"[" * 1_000_000,
        b'{"levels": [' + b"1," * 999_999 + b"1]}",
        b'{"reference": "' + b"x" * 1_000_000 + b'"}',
        b'"' + b'\\"' * 500_000,
        b'{"reference": "' + ("e" + "\u0316\u0301" * 200_000).encode() + b'"}',
        b"{" + b",".join(b'"k%d": 1' % n for n in range(100_000)) + b"}",
        b'{"' + b"k" * 1_000_000 + b'": 1}',
    ],
    ids=["deep", "many", "long", "open_quote", "combining", "names", "long_name"],
)
def test_spec_hostile_body_takes_bounded_time(body: bytes) -> None:
    start = time.perf_counter()
    fault = refused(body)
    assert time.perf_counter() - start < 3.0
    assert len(msgspec.json.encode(fault.faults)) < 100_000


def test_spec_every_word_list_is_the_registry_s() -> None:
    pairs = {
        ("HouseSpec", "wall"): "house.wall",
        ("HouseSpec", "foundation_wall"): "house.foundation_wall",
        ("HouseSpec", "floor_joist_direction"): "house.floor_joist_direction",
        ("HouseSpec", "excavation_slope"): "house.excavation_slope",
        ("SiteSpec", "soil_class"): "site.soil_class",
        ("SiteSpec", "seismic_design_category"): "site.seismic_design_category",
        ("PropertyLineSpec", "side"): "site.property_lines.side",
        ("DeckingSpec", "material"): "levels.decking.material",
        ("GuardSpec", "extent"): "levels.guard.extent",
        ("GuardSpec", "post_mount"): "levels.guard.post_mount",
        ("StairSpec", "stringer"): "stairs.stringer",
        ("HeavyObjectSpec", "kind"): "heavy_objects.kind",
        ("FramingSpec", "attachment"): "framing.attachment",
        ("FramingSpec", "material"): "framing.material",
        ("FramingSpec", "species"): "framing.species",
        ("FramingSpec", "grade"): "framing.grade",
        ("FramingSpec", "joist_size"): "framing.joist_size",
        ("FramingSpec", "beam_size"): "framing.beam_size",
        ("FramingSpec", "post_size"): "framing.post_size",
        ("FramingSpec", "joist_direction"): "framing.joist_direction",
        ("FramingSpec", "beam_placement"): "framing.beam_placement",
        ("FramingSpec", "objective"): "framing.objective",
        ("FoundationSpec", "method"): "foundation.method",
        ("FoundationSpec", "concrete_supply"): "foundation.concrete_supply",
        ("CrewSpec", "time_counted"): "crew.time_counted",
    }
    schemas = msgspec.json.schema_components([DeckSpec])[1]
    for (struct, field), name in pairs.items():
        schema = schemas[struct]["properties"][field]
        words = schema.get("enum") or schema["anyOf"][0]["enum"]
        assert sorted(words) == sorted(known(name)), (struct, field)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@given(JSON)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_spec_any_json_is_refused_or_read(value: Any) -> None:
    assert codes_of(json.dumps(value).encode()) <= set(known("error")) | set(known("problem"))


def paths(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [at, *(found for key, item in items for found in paths(item, (*at, key)))]


def replaced(value: Any, path: tuple[Any, ...], item: Any) -> Any:
    if not path:
        return item
    copy = value.copy()
    copy[path[0]] = replaced(value[path[0]], path[1:], item)
    return copy


@given(st.lists(st.tuples(st.sampled_from(paths(FULL)), JSON), min_size=1, max_size=2))
@settings(max_examples=400, deadline=None, derandomize=True)
def test_spec_walk_and_decoder_agree(changes: list[tuple[tuple[Any, ...], Any]]) -> None:
    """What the walk finds nothing in, the decoder takes; what it finds something in, it refuses."""
    spec: Any = FULL
    for path, item in changes:
        try:
            spec = replaced(spec, path, item)
        except (KeyError, IndexError, TypeError, AttributeError):
            continue
    value = without_nulls(json.loads(json.dumps(spec)), described(DeckSpec))
    found = list(faults_in(value, described(DeckSpec)))
    stricter = {"bad_pattern", "too_long", "not_finite"}
    try:
        msgspec.convert(value, DeckSpec)
    except msgspec.ValidationError:
        assert found
    else:
        assert {fault.code for fault in found} <= stricter
    assert codes_of(json.dumps(spec).encode()) <= set(known("error")) | set(known("problem"))
