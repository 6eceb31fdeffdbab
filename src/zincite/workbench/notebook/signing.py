"""Acts of sign-off: see what would be signed, sign it, see and withdraw signatures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from zincite.errors import NotebookError
from zincite.notebook import signing
from zincite.notebook.accounts import is_personal
from zincite.notebook.locating import name_of, subjects_called
from zincite.notebook.signatures import Signature, all_signatures, signatures_of
from zincite.notebook.signing import ToSign
from zincite.notebook.store import Notebook
from zincite.notebook.subjects import SUBJECTS
from zincite.workbench.notebook.opening import Where, opened

__all__ = [
    "BeforeSigning",
    "Signatures",
    "Signed",
    "before_signing",
    "sign",
    "signatures",
    "withdraw_signature",
]


@dataclass(frozen=True, slots=True)
class BeforeSigning:
    """What would be signed, as the signer has to see it first.

    Attributes
    ----------
    seen : ToSign
    personal : bool
        Whether the notebook has no accounts: then no password is asked for.
    """

    seen: ToSign
    personal: bool


@dataclass(frozen=True, slots=True)
class Signed:
    """A signature that was given or withdrawn.

    Attributes
    ----------
    signature : Signature
    events : int
    head_hash : str
        Number and hash of the last event.
    """

    signature: Signature
    events: int
    head_hash: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "signature": self.signature.to_dict(),
            "events": self.events,
            "head_hash": self.head_hash,
        }


@dataclass(frozen=True, slots=True)
class Signatures:
    """The signatures of what has a code, or of the whole notebook.

    Attributes
    ----------
    things : tuple of (str, str)
        Kind and name of what is called so, or of all that is signed.
    signatures : tuple of Signature
        The first one first, withdrawn ones too.
    """

    things: tuple[tuple[str, str], ...]
    signatures: tuple[Signature, ...]

    @property
    def hold(self) -> bool:
        """Whether all content is as it was signed, in its revision."""
        return all(one.state != "false" for one in self.signatures)

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "things": [{"noun": noun, "name": name} for noun, name in self.things],
            "hold": self.hold,
            "signatures": [one.to_dict() for one in self.signatures],
        }


def before_signing(where: Where, noun: str, code: str) -> BeforeSigning:
    """Return what would be signed; see `zincite.notebook.signing.to_sign`."""
    with opened(where) as notebook, notebook.read() as connection:
        return BeforeSigning(signing.to_sign(connection, noun, code), is_personal(connection))


def sign(where: Where, seen: ToSign, meaning: str, *, who: str, password: str = "") -> Signed:
    """Sign a thing as it was seen; see `zincite.notebook.signing.sign`."""
    with opened(where) as notebook:
        return _signed(notebook, signing.sign(notebook, who, seen, meaning, password=password))


def withdraw_signature(where: Where, id: str, *, reason: str, who: str) -> Signed:
    """Withdraw a signature; see `zincite.notebook.signing.withdraw_signature`."""
    with opened(where) as notebook:
        return _signed(notebook, signing.withdraw_signature(notebook, who, id, reason))


def signatures(where: Where, code: str = "", *, noun: str = "") -> Signatures:
    """Return the signatures of everything that is called so, or of the whole notebook.

    Parameters
    ----------
    where : str, Path or Notebook
    code : str
        Such as "K-07@2", or "T-001/2" for a result; "" takes everything.
    noun : str
        Only of this kind; of all when left out.

    Raises
    ------
    NotebookError
        If nothing is called so.
    """
    with opened(where) as notebook, notebook.read() as connection:
        if not code:
            every = [one for one in all_signatures(connection) if noun in ("", one.noun)]
            return Signatures(tuple({(s.noun, s.name): None for s in every}), tuple(every))
        called = [
            (kind, id)
            for kind, id in subjects_called(connection, code)
            if kind in SUBJECTS and noun in ("", kind)
        ]
        if not called:
            raise NotebookError(
                f"no {noun or 'thing'} is called {code[:60]!r}, expected a code as "
                "`zincite notebook list` shows it"
            )
        things = tuple((kind, name_of(connection, kind, id)) for kind, id in called)
        found = tuple(s for kind, id in called for s in signatures_of(connection, kind, id))
    return Signatures(things, found)


def _signed(notebook: Notebook, made: Signature) -> Signed:
    return Signed(made, *notebook.head())
