"""Every relation that ships is used in the code and held by a check that names it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import zincite
from zincite.data.relations import relation, relations
from zincite.errors import MissingDataError

SOURCE = Path(zincite.__file__).parent
TESTS = Path(__file__).parents[1]
CODE = "\n".join(path.read_text("utf-8") for path in SOURCE.rglob("*.py"))
CHECKS = "\n".join(
    path.read_text("utf-8")
    for folder in ("validation", "unit")
    for path in (TESTS / folder).rglob("test_*.py")
)
STATUSES = {"literature", "calculated", "from memory", "common practice"}


@pytest.mark.parametrize("key", relations())
def test_relation_is_used_and_checked(key: str) -> None:
    assert re.search(rf"\b{key}\b", CODE), f"{key} is used nowhere"
    assert re.search(rf"(?<![a-z0-9]){key}(?![0-9])", CHECKS, re.IGNORECASE), f"{key} has no check"


def test_relations_say_how_well_they_are_known() -> None:
    for item in relations().values():
        assert item.status in STATUSES
        assert item.equation
        assert item.source or item.status != "literature", item.id


def test_unknown_relation_is_refused() -> None:
    with pytest.raises(MissingDataError, match="no relation 'R99'"):
        relation("R99")
