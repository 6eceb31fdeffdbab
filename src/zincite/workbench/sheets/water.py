"""Names of water."""

from __future__ import annotations

import re

from zincite.workbench.sheets.words import plain

__all__ = ["is_water"]

_WATER = re.compile(
    r"(?:aqua|water|wasser|eau|agua|aq|h2o)"
    r"(?: (?:dest|demin|purified|purificata|deionised|deionized|distilled|demineralised"
    r"|demineralized|osmosee|purifiee|demineralisee|desionizada|destilada|purificada|pur|di|dem"
    r"|gereinigt|water|aqua|wasser|eau|agua))*"
    r"|(?:(?:deionised|deionized|demineralised|demineralized|distilled|purified|destilliertes|soft"
    r"|demineralisiertes|entmineralisiertes|gereinigtes|dest|demin|di|vollentsalztes|ve) )+"
    r"(?:water|wasser|aqua)"
)


def is_water(name: str) -> bool:
    """Return whether a name means water, in four languages.

    Examples
    --------
    >>> is_water("Aqua (dest.)"), is_water("Rose Water")
    (True, False)
    """
    words = plain(re.sub(r"[()]", " ", name))
    return bool(_WATER.fullmatch(words))
