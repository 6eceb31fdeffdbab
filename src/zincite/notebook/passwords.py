"""Passwords: which are accepted, and their Argon2id hashes."""

from __future__ import annotations

import unicodedata

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from zincite.errors import InputError

__all__ = ["LONGEST", "SHORTEST", "check_password", "hashed", "is_outdated", "matches"]

SHORTEST = 12
LONGEST = 1000
_DIFFERENT = 5
_HASHER = PasswordHasher()
"""With the library's own defaults, which follow RFC 9106 and grow with new releases."""


def _normal(password: str) -> str:
    """Return the password as it is hashed: the same however a keyboard composes its accents."""
    return unicodedata.normalize("NFKC", password)


def check_password(password: str, name: str) -> None:
    """Refuse a password that is guessed at once.

    Raises
    ------
    InputError
        Saying what is missing, never showing the password.
    """
    length = len(password)
    if length > LONGEST:
        raise InputError(
            f"the password of {name} has {length} characters, expected at most {LONGEST}"
        )
    password = _normal(password)
    if len(password) < SHORTEST:
        raise InputError(
            f"the password of {name} has {len(password)} characters, expected at least {SHORTEST}"
        )
    if not password.isprintable():
        raise InputError(
            f"the password of {name} holds line breaks or control characters, expected one line "
            "of letters, digits, signs and blanks"
        )
    if len(set(password)) < _DIFFERENT:
        raise InputError(
            f"the password of {name} has {len(set(password))} different characters, expected at "
            f"least {_DIFFERENT}"
        )
    if name.casefold() in password.casefold():
        raise InputError(f"the password of {name} holds the account's name, expected one without")


def hashed(password: str) -> str:
    """Return the hash of a password, with a new salt; takes about as long as `matches`."""
    return _HASHER.hash(_encoded(password))


def matches(password: str, password_hash: str | None) -> bool:
    """Return whether a password is the one that was hashed.

    Parameters
    ----------
    password : str
    password_hash : str or None
        None where there is no such account: it takes as long as a wrong password, so that the
        time does not tell which names exist.
    """
    if password_hash is None:
        _HASHER.hash(_encoded(password))
        return False
    try:
        return _HASHER.verify(password_hash, _encoded(password))
    except (VerificationError, InvalidHashError):
        return False


def is_outdated(password_hash: str) -> bool:
    """Return whether a hash was made with other parameters than new ones are."""
    return _HASHER.check_needs_rehash(password_hash)


def _encoded(password: str) -> bytes:
    return _normal(password[: LONGEST + 1]).encode("utf-8", "surrogatepass")
