"""Reports as files: whole, or not there."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from matplotlib.backends.backend_pdf import PdfPages

from paddlebar.record.write import put_in_place
from paddlebar.report_page.document import Document
from paddlebar.report_page.html import html
from paddlebar.report_page.paper import paper


def save_html(document: Document, path: Path) -> int:
    """Write the page; returns its size in bytes. Raises OSError from the disk."""
    image = html(document).encode("utf-8")
    put_in_place(path, image)
    return len(image)


def save_pdf(document: Document, path: Path) -> int:
    """Write the pages for paper, without the hour of making; returns their number. Raises OSError from the disk."""
    figures, out = paper(document), BytesIO()
    about = {"Title": f"{document.title}: {document.outcome}", "Creator": document.generator, "CreationDate": None}
    with PdfPages(out, metadata=about) as pdf:
        for figure in figures:
            pdf.savefig(figure)
    put_in_place(path, out.getvalue())
    return len(figures)
