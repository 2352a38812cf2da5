"""The project speaks of itself alone: no machine paths, no hosts, no talk of how it was made."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
FOLDERS = ("feasibility", "cable_tables", "templates", "tests", ".ci")
TOP_LEVEL = ("*.md", "*.toml", ".gitignore")
TEXT_SUFFIXES = {
    "", ".css", ".csv", ".html", ".j2", ".js", ".json", ".md", ".po", ".py", ".svg", ".toml",
    ".txt", ".typed", ".yaml",
}  # fmt: skip

# Namespaces and schema identifiers are names, not addresses that anything opens; a DOI is a
# bibliographic reference; the example domains are reserved for documentation (RFC 2606); this
# machine is where the page is served.
HOSTS_ALLOWED = {
    "www.w3.org", "json-schema.org", "doi.org", "example.org", "example.com", "evil.example",
    "127.0.0.1",
}  # fmt: skip

# The slashes and spaces stand in brackets so that this file does not match itself.
MACHINE_PATH = re.compile(r"(?<![\w.~<>}])[/](?:work|opt|root|home|tmp|mnt|srv)[/]")
ADDRESS = re.compile(r"\bhttps?:[/]{2}([^/\s\"'<>)\]:{]+)")
MAKING_OF = re.compile(
    r"\bA[I]\b|\bL[L]M\b"
    r"|(?i:\blanguage[ ]model|\bchat[ ]?bot|\bissue[ ]#?\d|\bpull[ ]request\b|\bshared[ ]folder\b)"
)


def unwanted(text: str) -> Iterator[str]:
    for number, line in enumerate(text.splitlines(), start=1):
        for kind, pattern in (("machine path", MACHINE_PATH), ("making of", MAKING_OF)):
            if pattern.search(line):
                yield f"{number}: {kind}: {line.strip()}"
        for host in ADDRESS.findall(line):
            if host.lower() not in HOSTS_ALLOWED:
                yield f"{number}: web address: {line.strip()}"


def text_files() -> Iterator[Path]:
    for folder in FOLDERS:
        for file in sorted((CHECKOUT / folder).rglob("*")):
            if file.suffix in TEXT_SUFFIXES and file.is_file():
                yield file
    for pattern in TOP_LEVEL:
        yield from sorted(CHECKOUT.glob(pattern))


def test_no_text_file_holds_anything_unwanted() -> None:
    files = list(text_files())
    assert CHECKOUT / "README.md" in files
    found = [
        f"{file.relative_to(CHECKOUT)}:{line}"
        for file in files
        for line in unwanted(file.read_text(encoding="utf-8"))
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "line",
    [
        "see /" + "work/notes.md",
        'path = "/' + 'tmp/x"',
        "from https:" + "//a-maker.invalid/sheet.pdf",
        "as the A" + "I said",
        "mends issue" + " #12",
    ],
)
def test_what_is_unwanted_is_noticed(line: str) -> None:
    assert len(list(unwanted(line))) == 1


@pytest.mark.parametrize(
    "line",
    [
        "#!/usr/bin/env bash",
        'xmlns="http://www.w3.org/2000/svg"',
        "m/s and A/mm² and kW/work",
        "the main circuit, said to be 16 A",
    ],
)
def test_what_is_allowed_is_not_noticed(line: str) -> None:
    assert list(unwanted(line)) == []
