"""Invented release certificates drawn as PDF files with a text layer, as a repair station's program would."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

TITLES = ("6. Item", "7. Description", "8. Part No.", "9. Qty.", "10. Serial No.", "11. Status/Work")
OLD_TITLES = ("6. Item", "7. Description", "8. Part Number", "10. Quantity", "11. Serial/Batch No.", "12. Status/Work")
ONE = (("1", "Evacuation slide", "QX100-1", "1", "0103", "Overhauled"),)


def draw(
    path: Path,
    *,
    rows: Sequence[Sequence[str]] = ONE,
    number: str = "HB-40117",
    date: str = "10 Feb 2024",
    form: str = "EASA Form 1",
    footer: str = "EASA Form 1 - MF/145 Issue 2",
    titles: Sequence[str] = TITLES,
    signed: Sequence[str] = ("14c. Certificate/Approval Ref. No.", "14d. Name", "14e. Date"),
    remarks: str = "12. Remarks",
    password: str | None = None,
) -> Path:
    """A page; `titles` of the table of items, `signed` of the signature's blocks, one row below another."""
    from reportlab.lib.pagesizes import A4, landscape
    from reportlab.pdfgen.canvas import Canvas

    width, height = landscape(A4)
    canvas: Any = Canvas(str(path), pagesize=(width, height), encrypt=password, invariant=1)
    canvas.setFont("Helvetica", 9)

    def put(x: float, y: float, text: str) -> None:
        canvas.drawString(x, height - y, text)

    put(40, 40, "1. Approving Competent Authority / Country")
    put(300, 40, "2. AUTHORISED RELEASE CERTIFICATE")
    put(600, 40, "3. Form Tracking Number")
    put(40, 54, "Fuglavik")
    put(300, 54, form)
    put(600, 54, number)
    put(40, 80, "4. Organisation Name and Address:")
    put(600, 80, "5. Work Order/Contract/Invoice")
    put(40, 94, "Hvalba Overhaul")
    put(40, 106, "3 Harbour Street")
    put(600, 94, "WO-7781")
    columns = (40, 90, 250, 380, 450, 580)
    for x, title in zip(columns, titles, strict=True):
        put(x, 140, title)
    y = 156
    for row in rows:
        for x, text in zip(columns, row, strict=True):
            put(x, y, text)
        y += 14
    put(40, y + 20, remarks)
    put(40, y + 34, "Overhauled to CMM 25-66-01 revision 7.")
    put(40, y + 46, "Torque of 8. stage checked, 11.2 bar.")
    y += 80
    for title, value in zip(signed, ("FU.145.0042", "A. Fitter", date), strict=True):
        put(420, y, title)
        put(420, y + 14, value)
        y += 40
    put(40, y + 20, footer)
    canvas.save()
    return path
