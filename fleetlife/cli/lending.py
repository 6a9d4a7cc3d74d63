"""Loans: a unit lent out, come back, or a borrowed one gone back to its owner."""

from __future__ import annotations

from typing import Annotated

from fleetlife.cli.asked_for import OrderInDay, PartOrFile, SerialOrFile, record_asked, unit_said
from fleetlife.cli.options import Manufacturer, On, text_option
from fleetlife.cli.takes import FILED, Asked, takes


@takes(*FILED)
def loan_out(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    to: Annotated[str | None, text_option("--to", "NAME", "Who has it from then on.")] = None,
    back_by: Annotated[
        str | None, text_option("--back-by", "DAY", "When it is to be back; found when it is not.")
    ] = None,
    condition: Annotated[str | None, text_option("--condition", "WORD", "Its condition; else as it was.")] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order for it.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The agreement.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who sent it.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """A unit in store is lent out, and by when it is to be back.

    \b
    Examples:
      fleetlife loan out KV-3300-1 33304 --to "Fuglavik Air" --back-by 2027-01-31 --preview
      fleetlife loan out --file loan.json --yes
    """
    from fleetlife.actions.loan import LoanOutRequest, lend_out

    record_asked(
        LoanOutRequest,
        lend_out,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "organisation": to,
            "back_by": back_by,
            "order": order,
            "condition": condition,
            "reference": reference,
            "signed_by": signed_by,
            "sequence": sequence,
        },
        asked,
    )


@takes(*FILED)
def loan_back(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    store: Annotated[str | None, text_option("--store", "NAME", "The store it lies in now.")] = None,
    bin: Annotated[str | None, text_option("--bin", "NAME", "The bin there.")] = None,
    condition: Annotated[
        str | None, text_option("--condition", "WORD", "Its condition by its paper; else unknown.")
    ] = None,
    harness: Annotated[str | None, text_option("--harness", "SIDE", "The rig as looked at; else unknown.")] = None,
    certificate: Annotated[str | None, text_option("--certificate", "NUMBER", "The release it came with.")] = None,
    organisation: Annotated[str | None, text_option("--organisation", "NAME", "Who issued the certificate.")] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order for it.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The delivery note.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who took it in.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """A unit that was lent out is back. Its condition and its rig are unknown unless they are stated.

    What it flew there is not counted: take in what its paper says, and file its release, before it is fitted.

    \b
    Examples:
      fleetlife loan back KV-3300-1 33304 --store "Skarholm main store" --bin A-12 --preview
      fleetlife loan back --file loan.json --yes
    """
    from fleetlife.actions.loan import LoanBackRequest, take_back

    record_asked(
        LoanBackRequest,
        take_back,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "store": store,
            "bin": bin,
            "condition": condition,
            "harness": harness,
            "certificate": certificate,
            "certificate_organisation": organisation,
            "order": order,
            "reference": reference,
            "signed_by": signed_by,
            "sequence": sequence,
        },
        asked,
    )


@takes(*FILED)
def loan_return(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    condition: Annotated[str | None, text_option("--condition", "WORD", "Its condition; else as it was.")] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order for it.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The delivery note.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who sent it.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """A borrowed unit goes back to its owner. It was borrowed with `stores receive --new --owner --return-by`.

    \b
    Examples:
      fleetlife loan return KV-3300-2 33290 --signed-by S-402 --preview
      fleetlife loan return --file loan.json --yes
    """
    from fleetlife.actions.loan import LoanReturnRequest, give_back

    record_asked(
        LoanReturnRequest,
        give_back,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "condition": condition,
            "order": order,
            "reference": reference,
            "signed_by": signed_by,
            "sequence": sequence,
        },
        asked,
    )
