"""The list of the surveys in a folder: each with the verdict on what stands there now."""

from __future__ import annotations

from pathlib import Path

from ..checks.sites import without_second_solver
from .client import client_of, filled_folder, revision_of


def test_the_list_shows_a_verdict_that_is_of_what_stands_there(tmp_path: Path) -> None:
    """Of a twin, of a state that was there before, and not of a log that was another one then."""
    client, kiosk, hall = client_of(filled_folder(tmp_path)), "camp-site-kiosk", "market-hall"
    log = tmp_path / "market-hall-demand.csv"

    def is_known(name: str) -> bool:
        line = client.get("/").text.split(f"/s/{name}/first")[1].split("</li>")[0]
        return "open it to see" not in line

    with without_second_solver():
        client.get(f"/s/{kiosk}/first")
        client.post("/new", data={"kind": "example", "example": kiosk})
        twin = f"{kiosk}-2"
        assert (is_known(kiosk), is_known(twin)) == (True, False)
        client.get(f"/s/{twin}/first")
        assert is_known(twin)
        before = revision_of(client, twin)
        entry = {"place": "site.name", "text": "Other kiosk"}
        client.post(f"/s/{twin}/change", json={"revision": before, "entries": [entry]})
        now = revision_of(client, twin)
        client.post(f"/s/{twin}/restore", data={"number": "last", "revision": now})
        assert not is_known(twin)
        assert revision_of(client, twin) == before
        assert is_known(twin)
        log.write_bytes(b"no log")
        assert "market-hall-demand.csv" in client.get(f"/s/{hall}/report.pdf").text
        assert is_known(hall)
        log.write_bytes(b"no log either")
        assert not is_known(hall)
