"""Which sheets LibreOffice shows with a frozen header; run by `workbook_in_libreoffice.py`, by a Python that has uno.

A conversion without a window loses what is only a matter of the window, so each workbook is opened in one that nobody
sees. Prints a line a sheet: file, sheet, frozen rows, frozen columns, with tabs between.
"""

from __future__ import annotations

import sys
import time
from typing import Any

import uno  # type: ignore[import-not-found]
from com.sun.star.connection import NoConnectException  # type: ignore[import-not-found]


def main() -> int:
    pipe, *paths = sys.argv[1:]
    desktop = _desktop(pipe)
    try:
        for path in paths:
            book = desktop.loadComponentFromURL(uno.systemPathToFileUrl(path), "_blank", 0, ())
            window = book.getCurrentController()
            for name in book.Sheets.ElementNames:
                window.setActiveSheet(book.Sheets.getByName(name))
                frozen = window.hasFrozenPanes()
                shown = (window.getSplitRow(), window.getSplitColumn()) if frozen else (0, 0)
                print(path, name, *shown, sep="\t")
            book.close(True)
    finally:
        desktop.terminate()
    return 0


def _desktop(pipe: str) -> Any:
    """The desktop of the LibreOffice that listens on the pipe, as soon as it does."""
    here = uno.getComponentContext()
    resolver = here.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", here)
    for _ in range(120):
        try:
            there = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            time.sleep(0.5)
        else:
            return there.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", there)
    raise TimeoutError("LibreOffice does not answer")


if __name__ == "__main__":
    sys.exit(main())
