"""The text of the data symbols in a photograph, with the extra `scan` (zxing-cpp and pillow)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fleetlife.terms.refusal import Refusal

REMEDY = "Take it again, near, straight and sharp; or scan the plate, or type both numbers as they are on it."


def texts_in_photo(path: Path) -> tuple[str, ...]:
    """The text of every symbol found, control characters and all, each once; in the order found.

    Refusals: `extra-missing`, `photo-not-read`, `photo-without-symbol`.
    """
    try:
        import zxingcpp
        from PIL import Image, ImageFilter
    except ImportError as error:
        raise Refusal(
            "extra-missing",
            "Photographs are read with zxing-cpp and pillow, which are not installed.",
            remedy='Install the extra: pip install "fleetlife[scan]"; or scan the plate, or type both numbers.',
        ) from error
    try:
        with Image.open(path) as opened:
            image: Any = opened.convert("L")  # however it lies: symbols are found turned
    except FileNotFoundError:
        raise Refusal("photo-not-read", f"There is no file {path}.", remedy="Check the path.") from None
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise Refusal(
            "photo-not-read", f"{path} cannot be read as a photograph: {error}.", remedy="Give a PNG or JPEG file."
        ) from error
    # a second look with scratches and specks smoothed; symbols carry their own correction, so neither half-reads
    looks = (image, image.filter(ImageFilter.MedianFilter(3)))
    found = (each for look in looks for each in zxingcpp.read_barcodes(look, text_mode=zxingcpp.TextMode.Plain))
    texts = tuple(dict.fromkeys(each.text for each in found))
    if not texts:
        raise Refusal("photo-without-symbol", f"No symbol can be made out in {path}.", remedy=REMEDY)
    return texts
