"""The canonical form against the examples RFC 8785 prints."""

from __future__ import annotations

import json
import math
import struct
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.contract.canonical import canonical, digest, number

APPENDIX_B = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


@pytest.mark.parametrize(("bits", "text"), APPENDIX_B, ids=[f"RFC-8785-B-{bits}" for bits, _ in APPENDIX_B])
def test_spec_canonical_number(bits: str, text: str) -> None:
    assert number(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 2**53 + 1], ids=str)
def test_spec_canonical_refuses_what_no_double_holds(value: float) -> None:
    """RFC 8785 section 3.2.2.3: NaN and Infinity are errors; whole numbers past 2^53 are not exact."""
    with pytest.raises(ValueError, match=r"canonical form|a double holds"):
        canonical(value)


def test_spec_canonical_example_of_rfc_8785_section_3_2_4() -> None:
    given_ = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": '€$\u000f\nA\'B"\\\\"/',
        "literals": [None, True, False],
    }
    assert canonical(given_) == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


def test_spec_canonical_order_of_names_of_rfc_8785_section_3_2_3() -> None:
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    ordered = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(canonical(dict.fromkeys(names, 0)))) == ordered


def test_spec_canonical_refuses_half_a_surrogate_pair() -> None:
    with pytest.raises(ValueError, match="surrogates not allowed"):
        canonical({"a": "\ud800"})


@given(st.floats(allow_nan=False, allow_infinity=False))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_spec_canonical_number_reads_back(value: float) -> None:
    assert float(number(value)) == value


@given(
    st.dictionaries(st.text(max_size=5), st.integers(-1000, 1000) | st.text(max_size=5), max_size=6).map(
        lambda value: (value, dict(reversed(value.items())))
    )
)
@settings(max_examples=100, deadline=None, derandomize=True)
def test_spec_digest_does_not_depend_on_order(pair: tuple[dict[str, Any], dict[str, Any]]) -> None:
    assert digest(pair[0]) == digest(pair[1])
