"""Sign-off: who stands for a formula version, a result or another thing, and for what of it.

A signature is over the content of one revision, so that it can be said for ever whether what is
shown is what was signed. In a notebook with accounts the signer gives the password again, and
nobody reviews, approves or releases what they wrote themselves; a lead is no exception.
"""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import InputError, NotAllowedError
from zincite.notebook.accounts import accounts, is_personal
from zincite.notebook.locating import locate, name_of
from zincite.notebook.login import Login
from zincite.notebook.schema import signature
from zincite.notebook.sessions import confirm
from zincite.notebook.signatures import Signature, signatures_of
from zincite.notebook.signed_content import content_hash, writers_of
from zincite.notebook.store import Notebook
from zincite.notebook.subjects import checked_noun, row_of
from zincite.notebook.writer import Writer

__all__ = ["BY_OTHERS", "ToSign", "sign", "to_sign", "withdraw_signature"]

BY_OTHERS = ("reviewed", "approved", "released")
"""Meanings that only somebody can sign who did not write the thing."""

_LONGEST_MEANING = 200


@dataclass(frozen=True, slots=True)
class ToSign:
    """What would be signed.

    Attributes
    ----------
    noun, subject, name : str
        Kind, id and what people call it.
    revision : int
    content_hash : str
    withdrawn : str
    """

    noun: str
    subject: str
    name: str
    revision: int
    content_hash: str
    withdrawn: str


def to_sign(connection: Connection, noun: str, wanted: str) -> ToSign:
    """Return a thing as it would be signed now.

    Raises
    ------
    InputError
        If it is no noun of the work at the bench.
    NotebookError
        If there is none of this name.
    """
    subject = locate(connection, checked_noun(noun), wanted)
    row = row_of(connection, noun, subject)
    return ToSign(
        noun,
        subject,
        name_of(connection, noun, subject),
        int(str(row["revision"])),
        content_hash(connection, noun, subject),
        str(row["withdrawn"]),
    )


def sign(
    notebook: Notebook,
    who: str,
    seen: ToSign,
    meaning: str,
    *,
    password: str = "",
) -> Signature:
    """Sign a thing as it was seen.

    Parameters
    ----------
    notebook : Notebook
    who : str
        Login of a lead; a given name in a personal notebook.
    seen : ToSign
        Of `to_sign`.
    meaning : str
        One of `BY_OTHERS` or free words.
    password : str
        That of the login once more; not asked for in a personal notebook.

    Raises
    ------
    InputError
        If the meaning is missing, the thing is withdrawn, or it is signed so already.
    NotAllowedError
        If the password is wrong, the role does not include it, or the signer wrote the thing.
    ConflictError
        If the thing was changed since it was seen.
    """
    meaning = _checked_meaning(meaning)
    with notebook.read() as connection:
        personal = is_personal(connection)
    if isinstance(who, Login) and not personal:
        confirm(notebook, who, password)
    with notebook.write(who) as writer:
        row = writer.current(seen.noun, seen.subject, seen.revision)
        if row["withdrawn"]:
            raise InputError(
                f"{seen.noun} {seen.name} is withdrawn ({row['withdrawn']}), expected one that "
                "stands"
            )
        id = _add(writer, seen, meaning)
        return next(
            made
            for made in signatures_of(writer.connection, seen.noun, seen.subject)
            if made.id == id
        )


def _add(writer: Writer, seen: ToSign, meaning: str) -> str:
    connection = writer.connection
    by = next((one for one in accounts(connection) if one.name == writer.who), None)
    if by is not None:
        _check_other(connection, seen, meaning, by.name)
    full_name = writer.who if by is None else by.full_name
    digest = content_hash(connection, seen.noun, seen.subject)
    same = sa.select(signature.c.id).where(
        signature.c.noun == seen.noun,
        signature.c.subject == seen.subject,
        signature.c.signed_by == writer.who,
        signature.c.meaning == meaning,
        signature.c.content_hash == digest,
        signature.c.withdrawn == "",
    )
    if connection.execute(same).first() is not None:
        raise InputError(
            f"{seen.noun} {seen.name} is signed as {meaning!r} by {full_name} already, expected "
            "another meaning or signer"
        )
    row = {
        "noun": seen.noun,
        "subject": seen.subject,
        "account_id": None if by is None else by.id,
        "signed_by": writer.who,
        "full_name": full_name,
        "meaning": meaning,
        "of_revision": seen.revision,
        "content_hash": digest,
    }
    return writer.add("signature", row, words=f"{full_name} {meaning}")


def _check_other(connection: Connection, seen: ToSign, meaning: str, name: str) -> None:
    if meaning in BY_OTHERS and name in writers_of(connection, seen.noun, seen.subject):
        raise NotAllowedError(
            f"{name} wrote {seen.noun} {seen.name} and may not sign it as {meaning}, expected a "
            "lead who did not write it"
        )


def _checked_meaning(meaning: str) -> str:
    words = " ".join(meaning.split())
    if not words:
        raise InputError(
            f"no meaning of the signature, expected {', '.join(BY_OTHERS)} or your own words"
        )
    if len(words) > _LONGEST_MEANING:
        raise InputError(
            f"the meaning of the signature has {len(words)} characters, expected at most "
            f"{_LONGEST_MEANING}"
        )
    plain = words.casefold().rstrip(".!")
    return plain if plain in BY_OTHERS else words


def withdraw_signature(notebook: Notebook, who: str, id: str, reason: str) -> Signature:
    """Withdraw a signature; it stays readable with the reason.

    Raises
    ------
    InputError
        If no reason is given, or it is withdrawn already.
    NotebookError
        If there is none whose id begins so.
    """
    with notebook.write(who) as writer:
        found = locate(writer.connection, "signature", id)
        row = writer.current("signature", found)
        writer.withdraw("signature", found, reason, revision=row["revision"])
        made = signatures_of(writer.connection, row["noun"], row["subject"])
        return next(one for one in made if one.id == found)
