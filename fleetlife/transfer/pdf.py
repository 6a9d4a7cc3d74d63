"""The text layer of a PDF, laid out as on the page. What has none is a picture, and nobody guesses what it shows."""

from __future__ import annotations

import logging
from pathlib import Path

from fleetlife.terms.refusal import Refusal

MOST_PAGES = 20
LARGEST = 50 * 1024 * 1024
LEAST = 40  # characters without which there is no text layer worth the name


def text_of_pdf(path: Path) -> str:
    """The text of the first pages. Refusals: `document-not-read`, `document-too-large`, `pdf-not-read`, `pdf-locked`,
    `pdf-without-text`."""
    import pypdf

    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        if path.stat().st_size > LARGEST:
            raise Refusal(
                "document-too-large",
                f"{path} has more than {LARGEST // 1_048_576} megabytes.",
                remedy="A certificate is a page or two: file the whole with fleetlife document file.",
            )
        reader = pypdf.PdfReader(path)
        if reader.is_encrypted:
            raise Refusal("pdf-locked", f"{path} is locked.", remedy="Unlock it, or type the row: fleetlife import.")
        pages = [
            page.extract_text(extraction_mode="layout", layout_mode_space_vertically=False)
            for page in reader.pages[:MOST_PAGES]
        ]
    except OSError as error:
        raise Refusal(
            "document-not-read", f"{path} cannot be read: {error.strerror or error}.", remedy="Name a PDF file."
        ) from error
    except Refusal:
        raise
    except Exception as error:  # a broken file may break the library anywhere
        raise Refusal(
            "pdf-not-read",
            f"{path} cannot be read as a PDF: {str(error) or type(error).__name__}.",
            remedy="See that it opens elsewhere; then type the row: fleetlife import certificates.csv.",
        ) from error
    text = "\n".join(pages)
    if len("".join(text.split())) < LEAST:
        raise Refusal(
            "pdf-without-text",
            f"{path} has no text, only a picture of it.",
            remedy="Read it by eye and type the row (fleetlife import), then fleetlife document file.",
        )
    return text
