"""The file in which fitted devices are kept, and read back."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from zincite.errors import InputError
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, assumed_kinetics

__all__ = ["FORMAT", "load_size_fit", "save_size_fit"]

FORMAT = "zincite dispersion fit 1"
_PARAMETERS = ("ln rate_mL_J", "logit limit_of_fines", "ln end_size_nm")


def save_size_fit(kinetics: Mapping[str, DeviceKinetics], path: str | Path) -> None:
    """Write fitted devices as JSON, by way of a new file so that nothing is half written.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    target = Path(path)
    content = {
        "format": FORMAT,
        "parameters": list(_PARAMETERS),
        "devices": {
            key: {
                "mean": list(found.mean),
                "covariance": [list(row) for row in found.covariance],
                "points": found.points,
                "source": found.source,
            }
            for key, found in kinetics.items()
        },
    }
    scratch = target.with_name(target.name + ".part")
    try:
        scratch.write_text(json.dumps(content, indent=1), encoding="utf-8")
        scratch.replace(target)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise InputError(f"cannot write {target}: {reason}, expected a writable file") from error


def load_size_fit(path: str | Path) -> dict[str, DeviceKinetics]:
    """Return the devices of a file that `save_size_fit` wrote.

    Raises
    ------
    InputError
        If the file is missing, is no such file or holds impossible numbers.
    """
    source = Path(path)
    try:
        content = json.loads(source.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise InputError(
            f"{source}: not readable as a fit of devices, expected the file that "
            "`zincite making fit -o` wrote"
        ) from error
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise InputError(f"{source}: expected a file of the format {FORMAT!r}")
    devices = content.get("devices")
    if not isinstance(devices, dict) or not devices:
        raise InputError(f"{source}: holds no devices, expected one or more")
    return {str(key): _device(source, str(key), entry) for key, entry in devices.items()}


def _device(source: Path, key: str, entry: Any) -> DeviceKinetics:
    if key not in assumed_kinetics():
        raise InputError(
            f"{source}: device {key!r} is not known, expected {', '.join(assumed_kinetics())}"
        )
    try:
        mean = [float(v) for v in entry["mean"]]
        square = np.array(entry["covariance"], dtype=float)
        points = int(entry["points"])
        symmetric = square.shape == (3, 3) and np.allclose(square, square.T)
        if len(mean) != 3 or not all(map(math.isfinite, mean)) or not symmetric:
            raise ValueError("no three means with their covariance")
        np.linalg.cholesky(square)
    except (KeyError, TypeError, ValueError, np.linalg.LinAlgError) as error:
        raise InputError(
            f"{source}: device {key!r} has impossible numbers ({error}), expected mean, covariance "
            "and points"
        ) from error
    return DeviceKinetics(
        key,
        (mean[0], mean[1], mean[2]),
        tuple(tuple(float(v) for v in row) for row in square),
        points,
        str(entry.get("source", "")),
    )
