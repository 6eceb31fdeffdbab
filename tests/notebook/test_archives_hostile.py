"""Archives that are damaged, changed or made to harm: one sentence, and nothing written."""

from __future__ import annotations

import copy
import hashlib
import io
import json
import random
import struct
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.notebook.archive_making import Making, project, trials
from zincite.errors import NotebookError
from zincite.notebook.chain import GENESIS, body_text
from zincite.notebook.store import open_notebook
from zincite.notebook.unarchiving import restore_archive

Change = Callable[[Making], None]


def _refused(path: Path, said: str) -> None:
    target = path.with_name("target.zincite")
    with pytest.raises(NotebookError, match=said) as caught:
        restore_archive(path, target)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 700
    assert not [p.name for p in path.parent.iterdir() if p.name.startswith("target")]


def _two() -> Making:
    made = Making(files=[b"abc"])
    project(made, 1)
    project(made, 2)
    return made


def test_the_archives_of_these_tests_are_right_when_left_alone(tmp_path: Path) -> None:
    """Guard: what follows is refused for what is changed, not for how it is made."""
    made = trials(3)
    made.files.append(b"abc")
    row = {"code": "P9", "name": "n", "note": ""}
    made.change("project", "project-1", {"id": "project-1", "revision": 2, "withdrawn": "", **row})
    restored = restore_archive(made.write(tmp_path / "a.zip"), tmp_path / "b.zincite")
    assert restored.manifest.events == len(made.bodies)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no whole .zip file"),
        (b"hello", "no whole .zip file"),
        (b"PK\x03\x04" + b"\x00" * 60, "no whole .zip file"),
        (b"SQLite format 3\x00" + b"\x00" * 100, "no whole .zip file"),
    ],
)
def test_something_else_is_refused(tmp_path: Path, content: bytes, said: str) -> None:
    (tmp_path / "a.zip").write_bytes(content)
    _refused(tmp_path / "a.zip", said)


def test_no_file_and_a_folder_are_said(tmp_path: Path) -> None:
    _refused(tmp_path / "no.zip", "No such file")
    _refused(tmp_path, "Is a directory")


def test_every_cut_and_every_flipped_byte_is_refused(tmp_path: Path) -> None:
    """Damage anywhere that changes anything: nothing else may come out than the whole notebook."""
    whole = _two().write(tmp_path / "whole.zip").read_bytes()
    restore_archive(tmp_path / "whole.zip", tmp_path / "right.zincite")
    with open_notebook(tmp_path / "right.zincite") as right:
        head = right.head()
    chance = random.Random(1)
    path = tmp_path / "a.zip"
    refused = 0
    for number in range(60):
        content = bytearray(whole)
        place = chance.randrange(len(whole))
        if number % 3 == 0:
            del content[place:]
        else:
            content[place] ^= 1 << chance.randrange(8)
        path.write_bytes(content)
        target = tmp_path / f"target{number}.zincite"
        try:
            restore_archive(path, target)
        except NotebookError:
            refused += 1
            assert not target.exists()
            continue
        with open_notebook(target) as there:  # only bytes that mean nothing, such as a date
            assert there.head() == head
    assert refused > 40


@pytest.mark.parametrize(
    "name",
    ["../evil", "/etc/evil", "blobs/../../evil", "C:\\evil", "blobs/", "blobs/abc",
     "notes.txt", "events.jsonl\x00.txt", "manifest.json/", "blobs/" + "A" * 64],
)  # fmt: skip
def test_entries_of_other_names_are_refused(tmp_path: Path, name: str) -> None:
    path = _two().write(tmp_path / "a.zip")
    with zipfile.ZipFile(path, "a") as archive:
        entry = zipfile.ZipInfo("x")
        entry.filename = name
        archive.writestr(entry, b"evil")
    _refused(path, "expected only manifest.json, events.jsonl and blobs/")
    assert [p.name for p in tmp_path.parent.glob("**/evil")] == []


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_an_entry_twice_is_refused(tmp_path: Path) -> None:
    path = _two().write(tmp_path / "a.zip")
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("events.jsonl", b"{}\n")
    _refused(path, r"holds events\.jsonl twice")


@pytest.mark.parametrize("missing", ["manifest.json", "events.jsonl", "blobs"])
def test_a_missing_entry_is_refused(tmp_path: Path, missing: str) -> None:
    path = _two().write(tmp_path / "whole.zip")
    with zipfile.ZipFile(path) as whole, zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        for name in whole.namelist():
            if not name.startswith(missing):
                archive.writestr(name, whole.read(name))
    _refused(tmp_path / "a.zip", "holds (no|0 kept files)")


def _bomb(path: Path, name: str, size: int) -> None:
    with (
        zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive,
        archive.open(name, "w", force_zip64=True) as entry,
    ):
        for _ in range(size // 2**20):
            entry.write(bytes(2**20))


def test_a_zip_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    path = _two().write(tmp_path / "a.zip")
    _bomb(path, "blobs/" + "0" * 64, 100 * 2**20)
    begun = time.monotonic()
    _refused(path, r"blobs/0+ unpacks to 104,857,600 bytes from .* at most 200 times")
    assert time.monotonic() - begun < 5


def test_a_kept_file_too_large_for_a_notebook_is_refused(tmp_path: Path) -> None:
    path = _two().write(tmp_path / "a.zip")
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("blobs/" + "0" * 64, b"abc")
    content = path.read_bytes()
    place = content.rindex(b"PK\x01\x02")
    lie = struct.pack("<I", 300 * 2**20)
    path.write_bytes(content[: place + 20] + lie + lie + content[place + 28 :])
    _refused(path, "unpacks to 314,572,800 bytes, expected at most 268,435,456")


def test_a_manifest_without_end_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("events.jsonl", b"")
        archive.writestr("manifest.json", b" " * 100_000)
    _refused(tmp_path / "a.zip", r"manifest\.json unpacks to 100,000 bytes, expected at most")


def test_entries_that_lie_over_each_other_are_refused(tmp_path: Path) -> None:
    """The flat bomb: many entries of the directory that point at the same bytes."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("blobs/" + "0" * 64, random.Random(1).randbytes(100_000))
        archive.writestr("events.jsonl", b"")
        archive.writestr("manifest.json", b"{}")
        for number in range(1, 50):
            entry = copy.copy(archive.filelist[0])
            entry.filename = entry.orig_filename = f"blobs/{number:064d}"
            archive.filelist.append(entry)
            archive.NameToInfo[entry.filename] = entry
        archive._didModify = True
    (tmp_path / "a.zip").write_bytes(made.getvalue())
    _refused(tmp_path / "a.zip", "its entries overlap")


def test_an_archive_with_a_password_is_refused(tmp_path: Path) -> None:
    content = bytearray(_two().write(tmp_path / "a.zip").read_bytes())
    place = content.index(b"PK\x01\x02")
    content[place + 8] |= 1
    (tmp_path / "a.zip").write_bytes(content)
    _refused(tmp_path / "a.zip", "is protected by a password")


def test_an_unknown_packing_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    _two().write(path)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_LZMA) as archive:
        archive.writestr("blobs/" + "0" * 64, b"abc")
    _refused(path, "is packed by an unknown method")


def test_wrong_bytes_of_a_kept_file_are_refused(tmp_path: Path) -> None:
    name = hashlib.sha256(b"abc").hexdigest()
    _refused(
        _two().write(tmp_path / "a.zip", files={name: b"abd"}), f"kept file {name[:12]} was changed"
    )


def test_a_kept_file_that_an_event_needs_and_is_not_there_is_refused(tmp_path: Path) -> None:
    made = trials(1)
    made.bodies[-1][3]["row"]["sha256"] = "ab" * 32
    _refused(made.write(tmp_path / "a.zip"), r"result result-0\): keeps file abababababab")


@pytest.mark.parametrize(
    ("manifest", "said"),
    [
        ({"format": "zincite notebook archive 2"}, "has the format 'zincite notebook archive 2'"),
        ({"format": None}, "has the format 'None'"),
        ({"layout": "0999"}, "has layout '0999', expected at most .*later version of zincite"),
        ({"layout": 2}, "manifest.json is damaged"),
        ({"events": -1}, "manifest.json is damaged"),
        ({"events": "many"}, "manifest.json is damaged"),
        ({"events": True}, "manifest.json is damaged"),
        ({"events": 3}, "holds 2 events and is not as its manifest.json says, expected 3"),
        ({"head_hash": "0" * 64}, "the last event has the hash .* expected 0000000000000000"),
        ({"head_hash": ""}, "the last event has the hash .* expected none"),
        ({"nouns": {"project": 7}}, "other numbers of things .* expected 7 project"),
        ({"nouns": []}, "manifest.json is damaged"),
        ({"entries": {}}, "manifest.json is damaged"),
        ({"entries": None}, "manifest.json is damaged"),
    ],
)
def test_a_manifest_that_lies_is_refused(
    tmp_path: Path, manifest: dict[str, Any], said: str
) -> None:
    _refused(_two().write(tmp_path / "a.zip", manifest=manifest), said)


@pytest.mark.parametrize("content", [b"", b"[]", b"[" * 50_000, b"\xff", b"nul", b"{}"])
def test_a_manifest_that_is_none_is_refused(tmp_path: Path, content: bytes) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("events.jsonl", b"")
        archive.writestr("manifest.json", content)
    _refused(tmp_path / "a.zip", "manifest.json is damaged")


@pytest.mark.parametrize(
    "line",
    [b"", b"{}", b"[]", b"null", b"{" * 100_000, b"\xff\xfe", b"1" * 10_000, b'"x"',
     b'{"seq": NaN}'],
)  # fmt: skip
def test_a_line_that_is_no_event_is_refused(tmp_path: Path, line: bytes) -> None:
    _refused(
        _two().write(tmp_path / "a.zip", lines=line + b"\n"), r"events\.jsonl line 1 is no event"
    )


@pytest.mark.parametrize("key", ["seq", "at", "who", "body", "prev", "hash"])
@pytest.mark.parametrize("value", [None, True, 1.5, [], "1"])
def test_an_event_of_other_types_is_refused(tmp_path: Path, key: str, value: object) -> None:
    events = _two().events()
    events[1][key] = value
    path = _two().write(tmp_path / "a.zip", events=events, manifest={"head_hash": "0" * 64})
    _refused(path, "line 2 is no event|event 2 ")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda e: e[0].update(who="B. Example"), "event 1 .* was changed after it was written"),
        (lambda e: e[1]["body"]["row"].update(name="x"), "event 2 .* was changed"),
        (lambda e: e.pop(0), "event 1 .* does not follow"),
        (lambda e: e.reverse(), "event 1 .* does not follow"),
        (lambda e: e.insert(0, e[0]), "event 2 .* does not follow"),
        (lambda e: e[0].update(prev="0" * 63 + "1"), "event 1 .* does not follow"),
        (lambda e: e[0].update(seq=2), "event 1 .* does not follow"),
    ],
)
def test_a_changed_history_is_refused(
    tmp_path: Path, change: Callable[[list[dict[str, Any]]], None], said: str
) -> None:
    made = _two()
    events = made.events()
    change(events)
    assert events[0]["prev"] == GENESIS or "not follow" in said
    _refused(made.write(tmp_path / "a.zip", events=events), said)


def _row(made: Making, **changes: Any) -> None:
    made.bodies[1][3]["row"].update(changes)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda m: _row(m, code="P1"), "events 1 to 2 contradict each other"),
        (lambda m: _row(m, extra="x"), "a project with other columns"),
        (lambda m: m.bodies[1][3]["row"].pop("note"), "a project with other columns"),
        (lambda m: m.bodies[1][3].update(row=[]), "a project with other columns"),
        (lambda m: m.bodies[1][3].pop("row"), "a project with other columns"),
        (lambda m: m.bodies[1][3].pop("parts"), "has parts that it cannot have"),
        (lambda m: m.bodies[1][3].update(parts={"event": []}), "has parts that it cannot have"),
        (lambda m: m.bodies[1][3].update(words=7), "has words that are no text"),
        (lambda m: m.bodies[1][3].update(words="a\x00"), "characters that are no text"),
        (lambda m: _row(m, id="project-9"), "about something else than its row"),
        (lambda m: _row(m, revision=2), "is added with another revision than 1"),
        (lambda m: _row(m, name=None), "name is None, expected a text"),
        (lambda m: _row(m, name=["x"]), "expected a text"),
        (lambda m: _row(m, name="x" * 201), "201 characters"),
        (lambda m: _row(m, note="a\x00b"), "characters that are no text"),
        (lambda m: _row(m, note="\ud800"), "no event|characters that are no text"),
        (lambda m: _row(m, revision=10**400), "revision"),
        (lambda m: project(m, 2), "events 1 to 3 contradict each other"),
        (
            lambda m: m.change("project", "project-9", {**m.bodies[0][3]["row"], "revision": 2}),
            "about something else",
        ),
        (
            lambda m: m.change("project", "project-1", {**m.bodies[0][3]["row"], "revision": 3}),
            "not the revision before it",
        ),
        (
            lambda m: m.bodies.append(("event added", "event", "x", {"row": {}, "parts": {}})),
            "of a kind that this version of zincite does not know",
        ),
        (
            lambda m: m.bodies.append(("credential added", "credential", "x", {"row": {}})),
            "of a kind that this version of zincite does not know",
        ),
    ],
)
def test_events_that_chain_but_make_no_notebook_are_refused(
    tmp_path: Path, change: Change, said: str
) -> None:
    """Whoever forges an archive can chain it anew: the rows themselves must still be possible."""
    made = _two()
    change(made)
    try:
        path = made.write(tmp_path / "a.zip")
    except UnicodeEncodeError:  # bytes that are no UTF-8, written as an attacker would
        lines = b"".join(
            body_text(one).encode("utf-8", "surrogatepass") + b"\n" for one in made.events()
        )
        path = made.write(tmp_path / "a.zip", lines=lines)
    _refused(path, said)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda b: b["trial_weight"][1].update(position=5), "trial_weight out of order"),
        (lambda b: b["trial_weight"][1].update(target_g="10"), "expected a number"),
        (lambda b: b["trial_weight"][1].update(trial_id="trial-9"), "other columns"),
        (lambda b: b["trial_weight"][1].update(lot_id="lot-9"), "contradict each other"),
        (lambda b: b.update(trial_weight={}), "trial_weight that are no list"),
        (lambda b: b.update(trial_weight=[None]), "other columns"),
        (lambda b: b.update(result_value=[]), "has parts that it cannot have"),
    ],
)
def test_parts_that_cannot_be_are_refused(
    tmp_path: Path, change: Callable[[dict[str, Any]], None], said: str
) -> None:
    made = trials(1)
    change(made.bodies[2][3]["parts"])
    _refused(made.write(tmp_path / "a.zip"), said)


def test_a_change_of_parts_is_refused(tmp_path: Path) -> None:
    made = trials(1)
    row = {**made.bodies[2][3]["row"], "revision": 2}
    made.change("trial", "trial-0", row, parts={"trial_weight": []})
    _refused(made.write(tmp_path / "a.zip"), "changes parts, which never change")


def test_nothing_is_left_in_a_database_either(postgres_server: Any, tmp_path: Path) -> None:
    server = postgres_server.create(f"hostile{time.monotonic_ns()}")
    made = trials(700)
    made.bodies[-1][3]["row"]["trial_id"] = "trial-none"
    made.files.append(b"abc")
    with pytest.raises(NotebookError, match="contradict each other"):
        restore_archive(made.write(tmp_path / "a.zip"), server)
    with open_notebook(server) as notebook, notebook.read() as connection:
        assert notebook.head() == (0, "")
        for table in ("blob", "project", "search_text"):
            assert connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar() == 0
    made = trials(3)
    restore_archive(made.write(tmp_path / "b.zip"), server)


def test_lines_after_each_other_are_bounded(tmp_path: Path, monkeypatch: Any) -> None:
    from zincite.notebook import archive_reading

    monkeypatch.setattr(archive_reading, "LARGEST_LINE", 300)
    made = _two()
    made.bodies[1][3]["row"]["note"] = "x" * 400
    _refused(made.write(tmp_path / "a.zip"), "a line of more than 300 bytes")


def test_manifest_keys_are_what_the_documentation_says(tmp_path: Path) -> None:
    path = _two().write(tmp_path / "a.zip")
    restore_archive(path, tmp_path / "b.zincite")
    from zincite.notebook.archiving import archive_notebook

    with open_notebook(tmp_path / "b.zincite") as back:
        archive_notebook(back, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as ours, zipfile.ZipFile(path) as made:
        assert json.loads(ours.read("manifest.json")) == json.loads(made.read("manifest.json"))
        assert ours.read("events.jsonl") == made.read("events.jsonl")
