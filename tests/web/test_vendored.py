"""Other people's files are as they were published: the manifest says how, and a changed file is seen."""

from __future__ import annotations

import json
import shutil
from hashlib import sha256
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli import main
from service.web.vendored import ESCAPED, KEPT, MANIFEST, PACKAGE, VERSION, escaped, manifest_of, published

FOLDER = Path(__file__).parents[2] / "service" / "web" / "assets" / "swagger-ui"


def test_manifest_is_the_files() -> None:
    told = json.loads((FOLDER / MANIFEST).read_text("utf-8"))
    assert (told["package"], told["version"], told["licence"]) == (PACKAGE, VERSION, "Apache-2.0")
    real = {file.name: file.read_bytes() for file in FOLDER.iterdir() if file.name != MANIFEST}
    assert {one["name"]: (one["bytes"], one["sha256"]) for one in told["files"]} == {
        name: (len(content), sha256(content).hexdigest()) for name, content in real.items()
    }
    assert set(real) == set(KEPT)


def test_licence_is_the_one_told() -> None:
    assert "Apache License" in (FOLDER / "LICENSE").read_text("utf-8")[:200]


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FOLDER, tmp_path / "copy"))


def checked(folder: Path) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["assets", "check", "--folder", str(folder)])
    return done.exit_code, done.output


def test_check_is_content_with_a_copy(copied: Path) -> None:
    assert checked(copied) == (0, f"{PACKAGE} {VERSION}: {len(KEPT)} files as their manifest says\n")


def test_check_sees_a_changed_a_missing_and_an_added_file(copied: Path) -> None:
    (copied / "swagger-ui.css").write_bytes((copied / "swagger-ui.css").read_bytes() + b" ")
    (copied / "NOTICE").unlink()
    (copied / "more.js").write_bytes(b"")
    code, said = checked(copied)
    assert code == 1
    for fault in ("NOTICE is missing", "swagger-ui.css is not as", "more.js is not as", "assets refresh"):
        assert fault in said


def test_check_sees_another_version_and_no_manifest(copied: Path) -> None:
    manifest = copied / MANIFEST
    manifest.write_text(manifest.read_text("utf-8").replace(VERSION, "0.0.1"), "utf-8")
    assert f"is of {PACKAGE} 0.0.1" in checked(copied)[1]
    manifest.unlink()
    assert checked(copied)[0] == 1


def test_a_script_is_kept_with_letters_escaped_and_leads_back_to_what_was_published() -> None:
    word, kept = next(iter(ESCAPED.items()))
    given = b'["' + word + b'"]'
    assert escaped("a.js", given) == b'["' + kept + b'"]' != given
    assert published("a.js", escaped("a.js", given)) == given
    assert escaped("a.css", given) == given
    (file,) = manifest_of({"a.js": escaped("a.js", given)}).files
    assert file.published_sha256 == sha256(given).hexdigest() != file.sha256
