"""Every shipped fact says where it comes from."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import zincite.data
from zincite.data.provenance import STATUSES, source, sources
from zincite.errors import MissingDataError

DATA = Path(zincite.data.__file__).parent
STATEMENTS = {"from memory", "common practice"}
"""What may stand in a header instead of a key: no source is a legal, visible status."""
FILES = sorted(
    path
    for path in DATA.rglob("*")
    if path.suffix in {".csv", ".toml"} and not path.name.startswith("sources")
)


def _name(path: Path) -> str:
    return path.relative_to(DATA).as_posix()


def _keys(path: Path) -> list[str]:
    keys: list[str] = []
    for line in path.read_text("utf-8").splitlines():
        if line.startswith("# source:"):
            keys += [key.strip() for key in line.removeprefix("# source:").split(",")]
    return keys


def test_there_are_data_files() -> None:
    assert len(FILES) >= 15


@pytest.mark.parametrize("path", FILES, ids=_name)
def test_file_names_sources_that_resolve(path: Path) -> None:
    keys = _keys(path)
    assert keys, f"{_name(path)} has no '# source:' line"
    assert not [key for key in keys if key not in sources() and key not in STATEMENTS]


@pytest.mark.parametrize("path", [path for path in FILES if path.suffix == ".csv"], ids=_name)
def test_header_stands_before_the_table(path: Path) -> None:
    first = path.read_text("utf-8").splitlines()[0]
    assert first.startswith("# "), f"{_name(path)} starts with {first!r}"


def test_every_source_is_complete() -> None:
    for key, entry in sources().items():
        assert entry.key == key
        assert entry.status in STATUSES
        assert entry.title, key
        assert entry.licence, key
        assert entry.transcription, key
        assert len(entry.date) == 10, key


def test_no_key_is_written_twice() -> None:
    seen: list[str] = []
    for path in sorted(DATA.glob("sources*.toml")):
        seen += tomllib.loads(path.read_text("utf-8"))
    assert len(seen) == len(set(seen))


def test_unknown_key_is_refused() -> None:
    with pytest.raises(MissingDataError, match="no-such-key"):
        source("no-such-key")


def test_warnings_travel_with_the_data() -> None:
    """The traps known of the zinc oxide tables and of the lamps must not be lost."""
    assert "Trap" in source("zno_index_traps").transcription
    assert "10.5" in source("computed_uva_lamp").transcription
    assert "not a lamp for SPF" in source("astm_g173").transcription
