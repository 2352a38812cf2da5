"""Compare the surviving mutants of the last mutation run with those that have a stated reason.

    python -m tests.mutation.compare

Run it in the folder in which the mutation tester ran. A mutant is a small change of the program;
it survives if no test fails. Each survivor has to match an entry of a file in ``survivors``; the
exit code is 1 if one does not, or if an entry matches none.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

REASONS = Path(__file__).with_name("survivors")


@dataclass(frozen=True, slots=True)
class Survivor:
    """A mutant that no test noticed: its name, and the lines that it takes away and puts in."""

    name: str
    removed: str
    added: str


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a mutant may survive: patterns for its name and for what it puts in, and the reason."""

    name: str
    added: str
    reason: str

    def explains(self, survivor: Survivor) -> bool:
        """Whether this is the reason for a survivor."""
        named = re.search(self.name, survivor.name) is not None
        return named and re.search(self.added, survivor.added) is not None


def read_reasons(folder: Path = REASONS) -> list[Reason]:
    """Return the stated reasons of every file."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.toml"))]
    return [Reason(**entry) for text in texts for entry in tomllib.loads(text)["reason"]]


def survivors() -> Iterator[Survivor]:
    """Yield every survivor of the last run."""
    for line in _tool("results").splitlines():
        name, colon, state = line.strip().partition(": ")
        if colon and state in ("survived", "timeout", "suspicious", "no tests"):
            yield survivor_of(name, _tool("show", name))


def survivor_of(name: str, difference: str) -> Survivor:
    """Return a survivor from the difference that the mutation tester prints."""
    lines = [line for line in difference.splitlines() if not line.startswith(("---", "+++"))]
    removed, added = ([line[1:].strip() for line in lines if line[:1] == sign] for sign in "-+")
    return Survivor(name, " ".join(removed), " ".join(added))


def compare(found: list[Survivor], reasons: list[Reason]) -> list[str]:
    """Return a line for every survivor without a reason and every reason without a survivor."""
    problems = [
        f"{one.name}: {one.removed}  ->  {one.added or 'nothing'}"
        for one in found
        if not any(reason.explains(one) for reason in reasons)
    ]
    problems += [
        f"no survivor any more for {reason.name!r}, {reason.added!r}"
        for reason in reasons
        if not any(reason.explains(one) for one in found)
    ]
    return problems


def _tool(*arguments: str) -> str:
    beside = Path(sys.executable).with_name("mutmut")
    program = str(beside) if beside.exists() else shutil.which("mutmut")
    if program is None:
        message = "the mutation tester is not installed: pip install -e '.[mutation]'"
        raise SystemExit(message)
    done = subprocess.run([program, *arguments], capture_output=True, text=True, check=True)
    return done.stdout


def main() -> None:
    """Print what is not explained, and how many survivors are."""
    found = list(survivors())
    problems = compare(found, read_reasons())
    print("\n".join(problems))
    print(f"{len(found)} survivors, {len(problems)} lines above to explain or to test")
    sys.exit(1 if problems else 0)


if __name__ == "__main__":
    main()
