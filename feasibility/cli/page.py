"""Serve the survey as a page in the browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from feasibility.cli.common import CannotDo, path_of

if TYPE_CHECKING:
    from feasibility.page.serve import Listening


@click.command()
@click.argument("folder", default="surveys")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="The address to listen on. Any but this machine's own also asks every browser for the "
    "pass phrase that is printed at the start.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=8642, show_default=True)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
def serve(folder: str, host: str, port: int, no_browser: bool) -> None:
    """Serve the surveys in FOLDER (made if missing) as a page, until it is stopped with Ctrl-C.

    Surveys are the .toml files in it; what each held before a change is kept in .versions. Nothing
    is sent anywhere, and the page needs no internet.
    """
    from feasibility.page.serve import CannotListen
    from feasibility.page.serve import serve as serve_page

    path = path_of(folder)
    path.mkdir(parents=True, exist_ok=True)

    def say(listening: Listening) -> None:
        click.echo(f"Surveys in {path}: {listening.address}")
        if listening.phrase is not None:
            click.echo(f"Pass phrase for this start: {listening.phrase}")
            click.echo("What passes over the network is not encrypted; use one that you trust.")
        click.echo("Stop with Ctrl-C.")

    try:
        serve_page(path, host=host, port=port, open_browser=not no_browser, say=say)
    except CannotListen as error:
        raise CannotDo(str(error)) from error
