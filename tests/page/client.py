"""A client of the page without a browser, over a folder with the shipped surveys."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from feasibility.examples import example_companions, example_names, example_text
from feasibility.page.app import page_app

ORIGIN = "http://127.0.0.1"
OWN = {"Origin": ORIGIN, "Sec-Fetch-Site": "same-origin"}


def filled_folder(folder: Path) -> Path:
    """Put the shipped surveys with their logs into the folder."""
    for name in example_names():
        (folder / f"{name}.toml").write_text(example_text(name), encoding="utf-8")
        for companion, content in example_companions(name).items():
            if companion.endswith(".csv"):
                (folder / companion).write_bytes(content)
    return folder


def client_of(folder: Path, **options: Any) -> TestClient:
    """Return a client that comes from this machine, as a browser on the page would."""
    return TestClient(
        page_app(folder, **options),
        base_url=ORIGIN,
        client=("127.0.0.1", 50000),
        follow_redirects=False,
        raise_server_exceptions=False,
        headers=OWN,
    )


def revision_in(text: str) -> str:
    """Return the revision that a page of a survey carries."""
    return text.split('data-revision="', 1)[1].split('"', 1)[0]


def revision_of(client: TestClient, name: str) -> str:
    """Return the revision of a survey as it stands."""
    return revision_in(client.get(f"/s/{name}/first").text)


def upgrade_example() -> str:
    """Return a survey that has to be upgraded, for which remedies are found soon."""
    whole, marked = 'plug_condition = "no damage seen"', 'plug_condition = "heat marks"'
    return example_text("camp-site-kiosk").replace(whole, marked)
