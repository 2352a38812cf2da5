"""Print one of the two commands that the README gives: ``readme_commands.py install|test``."""

from __future__ import annotations

import re
import sys
from pathlib import Path

README = Path(__file__).resolve().parent.parent / "README.md"
WHICH = ("install", "test")

_SH_BLOCK = re.compile(r"^```sh[ \t]*\n(.*?)^```[ \t]*$", re.MULTILINE | re.DOTALL)


def readme_commands(text: str) -> dict[str, str]:
    """Return the two commands of a README by name.

    Raises ValueError unless it holds exactly two ``sh`` blocks of one line each.
    """
    blocks = _SH_BLOCK.findall(text)
    if len(blocks) != len(WHICH):
        message = f"the README has {len(blocks)} sh blocks instead of {len(WHICH)}"
        raise ValueError(message)
    for block in blocks:
        if not block.strip() or block.count("\n") != 1 or block.rstrip("\n").endswith("\\"):
            message = f"not one line: {block!r}"
            raise ValueError(message)
    return dict(zip(WHICH, (block.strip() for block in blocks), strict=True))


if __name__ == "__main__":
    print(readme_commands(README.read_text(encoding="utf-8"))[sys.argv[1]])
