"""The report as a PDF in A4, tagged, with the files it was made from inside.

Written the way PDF/A-3a asks (ISO 19005-3: tags, embedded fonts, output intent, enclosed files with
their relationship), but without the mark that claims conformance: no validator has confirmed it.
"""

from __future__ import annotations

import datetime as dt
import gc
import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

from feasibility.render.html import to_html
from feasibility.resources import data_dir

if TYPE_CHECKING:
    from feasibility.advice import Advice
    from feasibility.assessment import Assessment


_CLAIM = re.compile(rb"<rdf:Description [^>]*pdfaid:part[^>]*/>")
_ENCLOSED = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
"""A fixed date for enclosed files, so that the same assessment gives the same bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Enclosed:
    """A file to put into the PDF; ``source`` says that the report was made from it."""

    name: str
    description: str
    content: bytes
    source: bool


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


def to_pdf(
    assessment: Assessment, enclosed: Sequence[Enclosed] = (), advice: Advice | None = None
) -> bytes:
    """Return the report as a PDF with these files inside; only our own templates are fetched."""
    return pdf_of(to_html(assessment, advice), enclosed)


def pdf_of(document: str, enclosed: Sequence[Enclosed] = ()) -> bytes:
    """Return an HTML document as a PDF; nothing outside our templates is fetched."""
    from weasyprint import HTML, Attachment
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class OwnFiles(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:  # noqa: ARG002
            try:
                path = own_file(url)
            except FetchRefused as refused:
                raise FatalURLFetchingError(str(refused)) from refused
            return URLFetcherResponse(url, path.read_bytes())

    attachments = [
        Attachment(
            file_obj=io.BytesIO(one.content),
            name=one.name,
            description=one.description,
            relationship="Source" if one.source else "Data",
            created=_ENCLOSED,
            modified=_ENCLOSED,
        )
        for one in enclosed
    ]
    with _collector_paused():
        page = HTML(string=document, url_fetcher=OwnFiles())
        written: bytes = page.write_pdf(
            font_config=FontConfiguration(),
            pdf_variant="pdf/a-3a",
            attachments=attachments,
            finisher=_without_claim,
        )
    return written


def _without_claim(_document: object, pdf: Any) -> None:
    """Take the mark of conformance out of the metadata."""
    for one in pdf.objects:
        extra = getattr(one, "extra", None) or {}
        if extra.get("Type") == "/Metadata":
            one.stream = [_CLAIM.sub(b"", part) for part in one.stream]


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
