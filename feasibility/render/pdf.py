"""The report as a PDF in A4."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit
from urllib.request import url2pathname

from feasibility.render.html import to_html
from feasibility.resources import data_dir

if TYPE_CHECKING:
    from feasibility.assessment import Assessment


class FetchRefused(ValueError):
    """The document asked for something that is not one of our own templates."""


def own_file(address: str) -> Path:
    """Return the file of our templates that an address names.

    Raises FetchRefused for any other address.
    """
    parts = urlsplit(address)
    folder = data_dir("templates").resolve()
    path = Path(url2pathname(parts.path)).resolve()
    own = parts.scheme == "file" and parts.netloc in ("", "localhost")
    if not own or not path.is_relative_to(folder) or not path.is_file():
        message = f"{address} is not a file of the templates"
        raise FetchRefused(message)
    return path


def to_pdf(assessment: Assessment) -> bytes:
    """Return the report as a PDF; nothing outside our templates is fetched."""
    return pdf_of(to_html(assessment))


def pdf_of(document: str) -> bytes:
    """Return an HTML document as a PDF; nothing outside our templates is fetched."""
    from weasyprint import HTML
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class OwnFiles(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:  # noqa: ARG002
            try:
                path = own_file(url)
            except FetchRefused as refused:
                raise FatalURLFetchingError(str(refused)) from refused
            return URLFetcherResponse(url, path.read_bytes())

    with _collector_paused():
        page = HTML(string=document, url_fetcher=OwnFiles())
        written: bytes = page.write_pdf(font_config=FontConfiguration())
    return written


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Pause the cyclic garbage collector, which takes a quarter of the time of a document.

    Laying out makes very many objects that all live until the end, so there is nothing to collect.
    """
    was_running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_running:
            gc.enable()
