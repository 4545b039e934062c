"""The published figures the tests compare with are byte for byte what they were."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

REFERENCE = Path(__file__).parent / "reference"
SHA256 = {
    "code/beam_joist_span_factors_2021.csv": "c2caa363b9efb9914e86afb7aa3ea3dd4161073c6457fff63b497bec36be487c",
    "code/beam_spans.csv": "6b20aacf83dc296eb16af4dac112e57d95b49f471d6a192f4637849bf0bf95dd",
    "code/dca6_beam_spans.csv": "49be22c2b5cb27942b6f573469d7ee16cf20b599d6004a81a06f12f6cc471534",
    "code/dca6_joist_spans.csv": "797a22b165961ca0128a4e1fe18521f291fc14c5ed5f7a72af8a4ca48937f7ef",
    "code/dca6_ledger_fasteners.csv": "04e30cc4765822b0c17d04f84cc81cb8ac5f5c06369649ce7db439b1be1b6b87",
    "code/dca6_limits.csv": "22c40ff892326258425d8cba3f2d7c60a102bd9aac45ab51ca6a4623d95ca9b1",
    "code/decking_joist_spacing.csv": "dc75bffa21c8716a3324d6ab31b70f09fcc373d3b0b91e059869ef7aae28253c",
    "code/footing_sizes.csv": "720be59ef73769e15c60fd0ad2fd4c1fed10e42938a7ecbd7990a238c8bbd454",
    "code/joist_cantilevers_2021_2024.csv": "5a182c67ce165e5071b5de798b5cebc22bbeec3017abbca2b1026bc0d3b938e1",
    "code/joist_spans.csv": "3fc6d1efb1aa49c41974fcdf56b612f4008c2d0ec0461fc790a6581f7b82759a",
    "code/ledger_fasteners.csv": "3deefba67d051e268c7ae445fd0db7a4fd9621622366b685c5d1978121589426",
    "code/ledger_lateral_hardware.csv": "6d5724791ba7931810aac18c08f0f7dd5d7342ec3df708265395e86849b23f4d",
    "code/ledger_placement.csv": "a8460fe4ad99a2bd9fddfbd9f9d51f0dbf1171dcd7fd0927b9e8f160fc3fc5e3",
    "code/loads_soil.csv": "233086cdb73adb742134808652720d4204397391c80cb2c4c679317414c7814a",
    "code/post_heights.csv": "5b7b8595af8cdf2eca3a0b28c0127339897017aa8f90dbbdb64cf4173bf777ca",
    "code/sources.csv": "0dd2757f87e854ab4a4921af16f5bd8f5a16f837a451ba370b63abfa0eac30c8",
    "code/stairs_guards.csv": "d040f200bc43c4a093f78cc8bddade9d1ce47444da92038c4175cef6a96f609d",
    "cutting_stock.json": "53135e3aff99350b5450e9e8c32d43ad76c835a887274121fb715b7863de4d78",
    "foundations/bag_yields.csv": "54149105a3bc192c3f40778a63244b48f51bee7d42460e49065b235a50b01a68",
    "foundations/concrete_strength.csv": "6bb13d677ef55f8cec670bca274c2dfad3180a98973951c71f78303113b56a36",
    "foundations/examples.csv": "de6a1be98db74450c8de184c5f347183c72b92ce30e145d2f12a020c013323ab",
    "foundations/frost_depths.csv": "582231b1ac98ef2c92c428411c9d6ecd28e535903ca666f56f7a1b469ac290cf",
    "foundations/helix_areas.csv": "6c7c4a76508c0911c942030c4516d516e3e157350d68bd3475e3afdf99452afd",
    "foundations/pier_bags.csv": "92a1a83078097ee2f612f85aafc738ab75f6daaff23b75025f99203f8e39dba6",
    "foundations/schedule.csv": "d2f3a31995c54d080cfd30e223daabce6947bf35690194db60ce2c79f05cff3c",
    "foundations/soil_classes.csv": "0c2d572526db32d50a0b90d91b2cd91e65f9c840f35c07fc647c3e7a5a6edc76",
    "foundations/torque_factors.csv": "67bd6cc200a613df933543adc190bd559ab5a5a448c25f18f5a0a188ca71a86e",
    "timber/design_values.csv": "3a5c26aad479f79d005aa25edc6d0bbbbc700eb2af48676404172db8f44976d3",
    "timber/examples.csv": "9219662df050d915c3c40ce806e5e565681688ac10f64746b9ef9913ee58b0b8",
    "timber/factors.csv": "ff687b1705469fcb2a37663b85a5c112d934db4b41a55ade72fa81162f865eae",
}


@pytest.mark.parametrize("name", SHA256)
def test_reference_file_is_untouched(name: str) -> None:
    assert hashlib.sha256((REFERENCE / name).read_bytes()).hexdigest() == SHA256[name]


def test_no_reference_file_is_missing_or_added() -> None:
    found = {file.relative_to(REFERENCE).as_posix() for file in REFERENCE.rglob("*") if file.is_file()}
    assert found == set(SHA256)
