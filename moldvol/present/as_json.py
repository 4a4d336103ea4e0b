"""JSON for scripts: one object, units in the key names, never a NaN."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from moldvol.errors import MoldvolError
from moldvol.notices import Notice

SCHEMA_VERSION = 1


def dumped(document: Mapping[str, Any]) -> str:
    """*document* as strict JSON text, with ``ok`` saying whether it is an answer or an error; a number that is not
    finite becomes null rather than broken JSON."""
    opened = {"schema_version": SCHEMA_VERSION, "ok": document.get("error") is None}
    return json.dumps(_strict({**opened, **document}), ensure_ascii=False, allow_nan=False)


def error_document(error: MoldvolError) -> dict[str, Any]:
    """What stands on stdout in place of a result."""
    return {"error": {"code": error.kind, "message": error.message, "file": error.file}}


def warnings(notices: Sequence[Notice]) -> list[dict[str, str]]:
    """Notices under the contract's key."""
    return [{"code": notice.code, "message": notice.message} for notice in notices]


def _strict(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _strict(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_strict(entry) for entry in value]
    if isinstance(value, bool | int | str) or value is None:
        return value
    number = float(value)
    return number if math.isfinite(number) else None
