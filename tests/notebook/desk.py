"""One person's computer at the command line: a state folder of its own, the same notebook."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from tests.notebook.team import PASSWORD
from zincite.interfaces.cli.app import application

__all__ = ["Desk", "refused"]


class Desk:
    """One person's computer: a state folder of its own, the same notebook."""

    def __init__(self, where: str, folder: Path, name: str) -> None:
        self.where, self.name = where, name
        self.state = folder / f"state of {name or 'nobody'}"
        self.password = folder / "password"
        self.password.write_text(f"{PASSWORD}\n")

    def run(self, *arguments: object, input: str = "") -> Result:
        environment = {
            "XDG_STATE_HOME": str(self.state),
            "ZINCITE_NOTEBOOK": self.where,
            "ZINCITE_WHO": self.name or "somebody",
        }
        given = [str(a) for a in arguments]
        return CliRunner().invoke(application, given, env=environment, input=input)

    def notebook(self, *arguments: object, input: str = "") -> Result:
        return self.run("notebook", *arguments, input=input)

    def done(self, *arguments: object) -> str:
        made = self.run(*arguments)
        assert made.exit_code == 0, made.output
        return made.output

    def read(self, *arguments: object) -> Any:
        return json.loads(self.done("notebook", *arguments, "--json"))

    def login(self) -> Desk:
        self.done("notebook", "login", self.name, "--password-file", self.password)
        return self


def refused(made: Result, *words: str) -> str:
    """Check that a command was refused with one sentence, and return it."""
    assert made.exit_code == 2, made.output
    said = made.stderr
    assert said.startswith("zincite: ")
    assert said.count("\n") == 1
    for word in words:
        assert re.search(word, said), said
    return said
