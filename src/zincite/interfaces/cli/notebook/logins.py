"""Where the command line keeps who is logged in: one file a notebook in the user's state folder."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from zincite.errors import InputError
from zincite.notebook.login import Login

__all__ = ["forget", "keep", "kept"]


def kept(where: str) -> Login | None:
    """Return the login to a notebook, None where nobody is logged in."""
    try:
        said = json.loads(_file(where).read_text("utf-8"))
        return Login(str(said["account"]), str(said["token"]))
    except (OSError, ValueError, KeyError, TypeError, RuntimeError):
        return None


def keep(where: str, who: Login, expires_at: str) -> Path:
    """Keep a login for the commands to come, readable for this user alone.

    Raises
    ------
    InputError
        If the state folder cannot be written, or there is none.
    """
    try:
        path = _file(where)
    except RuntimeError:
        raise InputError(
            "the login cannot be kept (this user has no home folder), expected XDG_STATE_HOME to "
            "name a folder that may be written"
        ) from None
    said = {
        "notebook": _plain(where),
        "account": str(who),
        "token": who.token,
        "expires_at": expires_at,
    }
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        fresh = path.with_suffix(f".{os.getpid()}")
        with contextlib.suppress(FileNotFoundError):
            fresh.unlink()
        # made for this user alone from the start, and then put in place whole
        with open(os.open(fresh, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
            json.dump(said, file)
        fresh.replace(path)
    except OSError as error:
        raise InputError(
            f"{path}: the login cannot be kept ({error.strerror}), expected a folder that may be "
            "written: set XDG_STATE_HOME to one"
        ) from None
    return path


def forget(where: str) -> None:
    """Forget the login to a notebook."""
    with contextlib.suppress(OSError, RuntimeError):
        _file(where).unlink()


def _file(where: str) -> Path:
    state = os.environ.get("XDG_STATE_HOME", "")
    # as the XDG rules say, a relative path there counts as none
    base = Path(state) if os.path.isabs(state) else Path.home() / ".local" / "state"
    name = hashlib.sha256(_plain(where).encode("utf-8", "surrogatepass")).hexdigest()[:32]
    return base / "zincite" / "logins" / f"{name}.json"


def _plain(where: str) -> str:
    """Return a notebook's name without a password, the same from every folder."""
    if "://" not in where:
        return str(Path(where).resolve())
    parts = urlsplit(where)
    user, at, host = parts.netloc.rpartition("@")
    return urlunsplit(parts._replace(netloc=user.partition(":")[0] + at + host))
