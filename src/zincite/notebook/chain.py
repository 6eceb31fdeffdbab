"""The chain: every event carries the hash of the one before, so no change goes unseen."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["GENESIS", "Event", "body_text", "event_hash", "seal"]

GENESIS = "0" * 64
"""What the first event has in place of a hash before it."""


@dataclass(frozen=True, slots=True)
class Event:
    """One entry of the history.

    Attributes
    ----------
    seq : int
        Counted from 1 without gaps.
    prev, hash : str
        SHA-256 of the event before and of this one, in hexadecimal.
    at : str
        Time, ISO 8601 in UTC with microseconds.
    who : str
        Account or name.
    kind : str
        Such as "trial added".
    noun, subject : str
        What it is about and its id.
    body : str
        Canonical JSON of the row as written, its parts and the reason.
    """

    seq: int
    prev: str
    hash: str
    at: str
    who: str
    kind: str
    noun: str
    subject: str
    body: str


def body_text(body: Mapping[str, Any]) -> str:
    """Return canonical JSON: keys sorted, no blanks, no NaN; equal content is equal text.

    Raises
    ------
    ValueError
        If a number is not finite.
    """
    return json.dumps(
        body, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def seal(secret: str) -> str:
    """Return the SHA-256 of something kept outside the chain, for the event to hold it by."""
    return hashlib.sha256(secret.encode()).hexdigest()


def event_hash(
    prev: str, seq: int, at: str, who: str, kind: str, noun: str, subject: str, body: str
) -> str:
    """Return the hash of an event, over everything it says and the hash before it.

    The fields are joined as a JSON list, so that no text can slip from one into the next.
    """
    fields = [prev, seq, at, who, kind, noun, subject, body]
    text = json.dumps(fields, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
