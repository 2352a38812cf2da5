"""Write the plain data of a survey as TOML 1.0."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator, Mapping, Sequence

from feasibility.survey.stated import Stated

_BARE_KEY = re.compile(r"^[A-Za-z0-9_-]+$")
_STATED = frozenset(Stated.model_fields)
_SAYS_WHAT = frozenset({"value", "low", "high", "unknown"})
# JSON's escapes are TOML's too; TOML also wants these written as escapes.
_ESCAPED = re.compile("[\x7f]")

Table = Mapping[str, object]


def to_toml(data: Table) -> str:
    """Return the text of a file that holds the data; reading it gives the same data again.

    Tables are written in their own order, the plain fields of each before the tables in it. A
    surveyed value with its origin stands on one line. Raises TypeError for what TOML cannot hold.
    """
    return "\n".join(_table(data, ())) + "\n"


def _table(table: Table, path: tuple[str, ...]) -> Iterator[str]:
    inner: list[tuple[str, object]] = []
    for key, value in table.items():
        if _is_table(value) or _is_list_of_tables(value):
            inner.append((key, value))
        else:
            yield f"{_key(key)} = {_value(value)}"
    for key, value in inner:
        name = ".".join(_key(part) for part in (*path, key))
        if isinstance(value, Mapping):
            yield from ("", f"[{name}]")
            yield from _table(value, (*path, key))
        elif isinstance(value, Sequence):
            for item in value:
                yield from ("", f"[[{name}]]")
                yield from _table(item, (*path, key))


def _is_table(value: object) -> bool:
    if not isinstance(value, Mapping):
        return False
    return not (_STATED.issuperset(value) and _SAYS_WHAT.intersection(value))


def _is_list_of_tables(value: object) -> bool:
    if isinstance(value, str) or not isinstance(value, Sequence):
        return False
    return bool(value) and all(isinstance(item, Mapping) for item in value)


def _key(key: str) -> str:
    return key if _BARE_KEY.match(key) else _text(key)


def _text(text: str) -> str:
    return _ESCAPED.sub(
        lambda found: f"\\u{ord(found[0]):04x}", json.dumps(text, ensure_ascii=False)
    )


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {_value(item)}" for key, item in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(_value(item) for item in value)}]"
    message = f"TOML cannot hold {type(value).__name__}"
    raise TypeError(message)
