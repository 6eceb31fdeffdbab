"""A name that can be proven: that of an account, with the token of its session."""

from __future__ import annotations

__all__ = ["Login"]


class Login(str):
    """The name of an account, with the session that proves it.

    Everywhere a name says who writes, a login can stand: it is the account's name. A notebook
    with accounts asks for the token, which is never shown. What derives from a login, such as
    `login.strip()`, is a plain name again and proves nothing.

    Attributes
    ----------
    token : str
    """

    __slots__ = ("token",)

    def __new__(cls, name: str, token: str) -> Login:
        """Return the name with its token."""
        made = super().__new__(cls, name)
        made.token = token
        return made

    token: str
