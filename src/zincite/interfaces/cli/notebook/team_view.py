"""How a terminal shows accounts, sessions and signatures."""

from __future__ import annotations

from zincite.interfaces.cli.terminal import Screen
from zincite.notebook.signatures import Signature
from zincite.workbench.notebook.signing import BeforeSigning, Signatures, Signed
from zincite.workbench.notebook.team import AccountList, ChangedAccount, LoggedIn, WhoAmI

__all__ = [
    "show_accounts",
    "show_all_signatures",
    "show_before",
    "show_changed",
    "show_login",
    "show_me",
    "show_new_password",
    "show_signatures",
    "show_signed",
]

_PERSONAL = (
    "A personal notebook, without accounts: whoever can open it may do everything under the name "
    "they give."
)


def _when(at: str) -> str:
    return f"{at[:10]} {at[11:16]} UTC"


def show_accounts(screen: Screen, found: AccountList) -> None:
    """Print all accounts, or that there are none."""
    screen.title(found.notebook, "" if found.personal else f"accounts: {len(found.accounts)}")
    if found.personal:
        screen.line(_PERSONAL)
        return
    columns = [("name", "left"), ("full name", "left"), ("role", "left"), ("", "left")]
    rows = [
        (one.name, one.full_name, one.role, _state(one.active, one.has_password), str(one.revision))
        for one in found.accounts
    ]
    screen.table([*columns, ("revision", "right")], rows)


def _state(active: bool, has_password: bool) -> str:
    if not active:
        return "inactive"
    return "active" if has_password else "no password yet"


def show_changed(screen: Screen, made: ChangedAccount) -> None:
    """Print an account as it is now."""
    account = made.account
    screen.title(f"account {account.name}", f"event {made.events}")
    state = _state(account.active, account.has_password)
    screen.pairs(
        (
            ("full name", account.full_name),
            ("role", account.role),
            ("state", f"{state}, revision {account.revision}"),
        )
    )
    if made.first:
        screen.line(
            "This notebook is a team's now: everybody who writes logs in first "
            "(zincite notebook login). Reading is not guarded: who can read the file reads all."
        )
    screen.line()
    screen.line(f"head {made.head_hash}", style="dim")


def show_new_password(screen: Screen, made: ChangedAccount) -> None:
    """Print an account whose password was changed."""
    show_changed(screen, made)
    screen.line(f"The sessions of {made.account.name} have ended: the next begins with a login.")


def show_login(screen: Screen, made: LoggedIn) -> None:
    """Print who is logged in and until when."""
    account = made.session.account
    screen.line(
        f"{account.full_name} ({account.name}, role {account.role}) is logged in to "
        f"{made.notebook} until {_when(made.session.expires_at)}"
    )


def show_me(screen: Screen, found: WhoAmI) -> None:
    """Print under which name one writes."""
    if found.personal:
        screen.line(f"{found.who}, as given by --who, ZINCITE_WHO or this computer's user")
        screen.line(_PERSONAL)
    elif found.account is None:
        screen.line("Nobody is logged in: reading is possible, writing needs a login.")
    else:
        screen.line(
            f"{found.account.full_name} ({found.account.name}, role {found.account.role}), logged "
            f"in until {_when(found.expires_at)}"
        )


def show_before(screen: Screen, found: BeforeSigning, meaning: str) -> None:
    """Print what is about to be signed."""
    seen = found.seen
    screen.line(f"You sign {seen.noun} {seen.name}, revision {seen.revision}, as: {meaning}")
    screen.line(f"content {seen.content_hash}", style="dim")


def show_signed(screen: Screen, made: Signed) -> None:
    """Print a signature."""
    screen.title(f"{made.signature.noun} {made.signature.name}", f"event {made.events}")
    _show_signature(screen, made.signature)
    screen.line()
    screen.line(f"head {made.head_hash}", style="dim")


def show_signatures(screen: Screen, found: Signatures) -> None:
    """Print all signatures of what is called so."""
    for noun, name in found.things:
        screen.title(f"{noun} {name}")
        own = [one for one in found.signatures if (one.noun, one.name) == (noun, name)]
        for one in own:
            _show_signature(screen, one)
        if not own:
            screen.line("not signed")


def show_all_signatures(screen: Screen, found: Signatures) -> None:
    """Print the signatures of the whole notebook, one a row."""
    screen.title("Signatures", f"{len(found.signatures)} in the notebook")
    if not found.signatures:
        screen.line("Nothing is signed.")
        return
    columns = ("when", "signed", "as", "by", "content")
    rows = [
        (
            _when(one.at),
            f"{one.noun} {one.name}",
            f"{one.meaning} (WITHDRAWN)" if one.withdrawn else one.meaning,
            one.full_name,
            one.since,
        )
        for one in found.signatures
    ]
    screen.table([(name, "left") for name in columns], rows, widths=(20, 20, 18, 14, 20))


def _show_signature(screen: Screen, one: Signature) -> None:
    proof = "account and password" if one.proven else "name as given, no account"
    screen.heading(f"{one.meaning}{' (WITHDRAWN)' if one.withdrawn else ''}")
    rows = [
        ("signed by", f"{one.full_name} ({one.signed_by})" if one.proven else one.full_name),
        ("proof", proof),
        ("time", _when(one.at)),
        ("content", one.since),
        ("content hash", one.content_hash),
        ("signature", one.id),
    ]
    if one.withdrawn:
        rows.insert(0, ("withdrawn", one.withdrawn))
    screen.pairs(rows)
