"""Archives built event by event, without a notebook: right ones, and ones that lie."""

from __future__ import annotations

import copy
import hashlib
import json
import zipfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from zincite.notebook.chain import GENESIS, body_text, event_hash
from zincite.notebook.migrating import known_layouts
from zincite.notebook.schema import NOUNS

__all__ = ["Making", "project", "trials"]


@dataclass
class Making:
    """An archive in the making; its hashes are reckoned when it is written.

    Attributes
    ----------
    bodies : list of (str, str, str, dict)
        Kind, noun, subject and body of each event.
    files : list of bytes
    """

    bodies: list[tuple[str, str, str, dict[str, Any]]] = field(default_factory=list)
    files: list[bytes] = field(default_factory=list)

    def add(self, noun: str, subject: str, row: dict[str, Any], **parts: Any) -> None:
        whole = {"id": subject, "revision": 1, "withdrawn": "", **row}
        self.bodies.append((f"{noun} added", noun, subject, {"row": whole, "parts": parts}))

    def change(self, noun: str, subject: str, row: dict[str, Any], **also: Any) -> None:
        body = {"row": row, "parts": {}, **also}
        self.bodies.append((f"{noun} changed", noun, subject, body))

    def events(self) -> list[dict[str, Any]]:
        """Return the chained events as the lines hold them."""
        before, made = GENESIS, []
        for seq, (kind, noun, subject, body) in enumerate(self.bodies, start=1):
            at, who = f"2026-01-02T03:04:05.{seq:06d}+00:00", "A. Example"
            here = event_hash(before, seq, at, who, kind, noun, subject, body_text(body))
            made.append(
                {"at": at, "body": body, "hash": here, "kind": kind, "noun": noun, "prev": before,
                 "seq": seq, "subject": subject, "who": who}
            )  # fmt: skip
            before = here
        return made

    def write(
        self,
        path: Path,
        *,
        events: list[dict[str, Any]] | None = None,
        lines: bytes | None = None,
        files: dict[str, bytes] | None = None,
        manifest: dict[str, Any] | None = None,
    ) -> Path:
        """Write it; what is given replaces what would be right."""
        chained = self.events() if events is None else events
        text = lines
        if text is None:
            text = b"".join(body_text(one).encode() + b"\n" for one in chained)
        kept = {hashlib.sha256(data).hexdigest(): data for data in self.files}
        kept = kept if files is None else files
        said = copy.deepcopy(self.manifest(chained, text, kept))
        for key, value in (manifest or {}).items():
            said[key] = value
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name in sorted(kept):
                archive.writestr(f"blobs/{name}", kept[name])
            archive.writestr("events.jsonl", text)
            archive.writestr("manifest.json", json.dumps(said))
        return path

    def manifest(
        self, events: list[dict[str, Any]], lines: bytes, files: dict[str, bytes]
    ) -> dict[str, Any]:
        listed = "".join(f"{name} {len(files[name])}\n" for name in sorted(files))
        counted = Counter(one["noun"] for one in events if one["kind"].endswith(" added"))
        return {
            "format": "zincite notebook archive 1",
            "layout": known_layouts()[-1],
            "software": "zincite 0.1.0",
            "events": len(events),
            "head_hash": events[-1]["hash"] if events else "",
            "nouns": {noun: counted[noun] for noun in NOUNS},
            "entries": {
                "events.jsonl": {"bytes": len(lines), "sha256": hashlib.sha256(lines).hexdigest()},
                "blobs/": {
                    "files": len(files),
                    "bytes": sum(map(len, files.values())),
                    "sha256_of_list": hashlib.sha256(listed.encode()).hexdigest(),
                },
            },
            "left_out": ["passwords", "sessions", "counts of failed logins"],
        }


def project(made: Making, number: int) -> dict[str, Any]:
    """Add a project and return its row."""
    row = {"code": f"P{number}", "name": "n", "note": f"note {number}"}
    made.add("project", f"project-{number}", row)
    found: dict[str, Any] = made.bodies[-1][3]["row"]
    return found


def trials(count: int) -> Making:
    """Return a project, a formula and so many trials of three weights, with one result each."""
    made = Making()
    project(made, 1)
    row = {"project_id": "project-1", "code": "F", "number": 1, "parent_id": None, "name": "n"}
    made.add("formula", "formula-1", {**row, "reason": "", "toml": ""})
    for n in range(count):
        row = {"code": f"T{n}", "formula_id": "formula-1", "made_on": "2026-01-02"}
        row |= {"made_by": "A", "batch_kg": 0.5, "process": "", "note": f"batch {n}"}
        weight = {"phase": "A", "material_key": "m", "lot_id": None, "actual_g": 10.1}
        weights = [{**weight, "target_g": 10.0 + k, "position": k} for k in range(3)]
        made.add("trial", f"trial-{n}", row, trial_weight=weights)
        made.bodies[-1][3]["words"] = f"T{n} batch"
        row = {"trial_id": f"trial-{n}", "number": 1, "kind": "spf", "measured_on": "2026-01-03"}
        row |= {"method": "m", "software": "s", "valid": 1, "file_name": "", "sha256": None}
        value = {"quantity": "spf", "value": 30.5, "low": 29.0, "high": None, "unit": ""}
        values = [{**value, "position": 0}]
        made.add("result", f"result-{n}", {**row, "evaluation": ""}, result_value=values)
    return made
