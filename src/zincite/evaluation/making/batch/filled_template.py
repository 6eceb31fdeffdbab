"""The empty TOML file that a workshop fills in beside or instead of the paper."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable

from zincite.evaluation.making.batch.batch_record import BatchRecord
from zincite.evaluation.making.batch.record_holds import GRIND_HEGMAN, Check, Hold
from zincite.evaluation.making.batch.record_steps import RecordStep, SetPoint
from zincite.evaluation.making.batch.weighing_list import WeighedItem
from zincite.formula.formula import Formula

__all__ = ["template_text"]

_TOP = """\
# Batch record to fill in: write between the quotes, or a number in their place (actual_g = 101.5).
# "" is a field that is not filled. Dates read 2027-01-31. Leave item, material and target_g alone.
"""
_BOTTOM = """
# One entry for each deviation; item, step or hold says what it is about.
# [[deviation]]
# what = ""
# when = ""
# who = ""
# decision = ""
# item = 1
"""


def template_text(formula: Formula, record: BatchRecord) -> str:
    """Return the file to fill in; `read_filled` reads it back."""
    lines = [
        _TOP,
        "[record]",
        f"formula = {_text(formula.code)}",
        f"batch_number = {_text(record.batch_number)}",
        f"batch_kg = {record.batch_kg:f}",
        *_empty("made_on", "made_by", "clearance_by"),
        'yield_kg = ""             # bulk out of the vessel',
        'yield_low_percent = ""    # limits of the yield, yours',
        'yield_high_percent = ""',
        *_empty("released_by"),
    ]
    for item in record.weighing.items:
        lines += _item(item)
    for step in record.steps:
        lines += _step(step)
    for hold in record.holds:
        lines += _hold(hold)
    return "\n".join(lines) + "\n" + _BOTTOM


def _text(words: str) -> str:
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(words: str) -> str:
    """Return words on one line without signs that a TOML comment must not hold."""
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())


def _key(name: str) -> str:
    """Return a key, in quotes where TOML needs them."""
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _text(name)


def _empty(*keys: str) -> Iterable[str]:
    return (f'{key} = ""' for key in keys)


def _item(item: WeighedItem) -> Iterable[str]:
    yield from (
        "",
        "[[weighing]]",
        f"item = {item.number}",
        f"material = {_text(item.material)}",
        f"target_g = {item.mass_g}",
        *_empty("lot", "expires_on"),
        f'actual_g = ""   # {item.low_g} to {item.high_g}',
        *_empty("done_by", "checked_by"),
    )


def _step(step: RecordStep) -> Iterable[str]:
    about = _comment(step.note)
    yield from ("", f"[[step]]   # {about}" if about else "[[step]]", f"number = {step.number}")
    yield f"device = {_text(step.device)}"
    for setting in step.settings:
        yield f'{setting.key} = ""{_window(setting)}'
    yield from _empty("done_by", "checked_by")


def _window(setting: SetPoint) -> str:
    if setting.value is None:
        return ""
    if setting.low is None or setting.high is None:
        return f"   # set {setting.value:g}"
    return f"   # set {setting.value:g}, {setting.low:g} to {setting.high:g}"


def _hold(hold: Hold) -> Iterable[str]:
    yield from ("", f"[[hold]]   # {hold.title}", f"name = {_text(hold.key)}")
    for check in hold.checks:
        yield f'{_key(check.key)} = ""   # {_comment(_limits(check))}'
        if check.key == "grind_um":
            yield f'hegman = ""   # or in its place the Hegman number: at least {GRIND_HEGMAN:g}'
    yield from _empty("released_by")


def _limits(check: Check) -> str:
    if check.low is None or check.high is None:
        words = check.ground if not check.is_number else f"write limits in ({check.ground})"
        return f"{check.name}: {words}"
    unit = f" {check.unit}" if check.unit else ""
    beside = " (predicted, no limit)" if check.is_predicted else ""
    return f"{check.name}: {check.low:.4g} to {check.high:.4g}{unit}{beside}"
