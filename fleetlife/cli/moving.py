"""Other movements than a swap: a robbery, children on the bench, a re-rig, loans, scrap, a re-identification."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from fleetlife.cli.asked_for import OrderInDay, PartOrFile, SerialOrFile, record_asked, unit_said
from fleetlife.cli.options import (
    HoursReading,
    Manufacturer,
    On,
    UnitPair,
    text_option,
)
from fleetlife.cli.recording import pair
from fleetlife.cli.takes import ACCEPTING, FILED, Asked, takes


@takes(*ACCEPTING)
def rob(
    donor: Annotated[str | None, typer.Argument(metavar="DONOR", help="The registration it comes off.")] = None,
    donor_position: Annotated[str | None, typer.Argument(metavar="POSITION", help="The position there.")] = None,
    registration: Annotated[str | None, typer.Argument(metavar="RECEIVER", help="The registration it goes on.")] = None,
    position: Annotated[str | None, typer.Argument(metavar="POSITION", help="The position there.")] = None,
    unit: Annotated[UnitPair, text_option("--unit", "PART SERIAL", "The unit; else the one recorded there.")] = None,
    remove: Annotated[
        UnitPair, text_option("--remove", "PART SERIAL", "What comes off the receiver; else the one recorded there.")
    ] = None,
    unit_manufacturer: Annotated[str | None, text_option("--unit-manufacturer", "NAME", "Where two bear them.")] = None,
    inspection: Annotated[
        str | None, text_option("--inspection", "TEXT", "The tag or report by which it was found serviceable.")
    ] = None,
    unit_inspected_by: Annotated[
        str | None, text_option("--unit-inspected-by", "STAFF", "Who inspected the unit and signed that.")
    ] = None,
    certificate: Annotated[
        str | None, text_option("--certificate", "NUMBER", "The release it goes on by, filed before.")
    ] = None,
    organisation: Annotated[str | None, text_option("--organisation", "NAME", "Who issued the certificate.")] = None,
    on: On = None,
    sequence: Annotated[
        int | None, text_option("--sequence", "N", "The order within the day, where it matters.")
    ] = None,
    donor_hours_total: Annotated[
        str | None, text_option("--donor-hours-total", "HHHH:MM", "The donor's hours then.")
    ] = None,
    donor_cycles_total: Annotated[
        int | None, text_option("--donor-cycles-total", "N", "The donor's cycles then.")
    ] = None,
    donor_technical_log: Annotated[
        str | None, text_option("--donor-technical-log", "PAGE", "The donor's page.")
    ] = None,
    hours_total: Annotated[str | None, text_option("--hours-total", "HHHH:MM", "The receiver's hours then.")] = None,
    cycles_total: Annotated[int | None, text_option("--cycles-total", "N", "The receiver's cycles then.")] = None,
    technical_log: Annotated[str | None, text_option("--technical-log", "PAGE", "The receiver's page.")] = None,
    hours: HoursReading = None,
    harness: Annotated[str | None, text_option("--harness", "SIDE", "The side it was rigged for: left, right.")] = None,
    removed_to: Annotated[
        str | None, text_option("--removed-to", "PLACE", "Of what comes off the receiver: store, shop, loan, scrap.")
    ] = None,
    removed_to_name: Annotated[str | None, text_option("--removed-to-name", "NAME", "Which store or shop.")] = None,
    removed_condition: Annotated[
        str | None, text_option("--removed-condition", "WORD", "unserviceable if left out.")
    ] = None,
    removal_kind: Annotated[str | None, text_option("--removal-kind", "WORD", "Why the receiver's came off.")] = None,
    defect: Annotated[str | None, text_option("--defect", "TEXT", "What was wrong with the receiver's.")] = None,
    work_order: Annotated[str | None, text_option("--work-order", "NUMBER", "The order for it.")] = None,
    data_reference: Annotated[
        str | None, text_option("--data-reference", "TEXT", "The approved data worked to.")
    ] = None,
    data_revision: Annotated[str | None, text_option("--data-revision", "TEXT", "Its revision.")] = None,
    station: Annotated[str | None, text_option("--station", "NAME", "Where.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who did it.")] = None,
    inspected_by: Annotated[str | None, text_option("--inspected-by", "STAFF", "Who inspected the work.")] = None,
    released_by: Annotated[str | None, text_option("--released-by", "STAFF", "Who released it.")] = None,
    *,
    asked: Asked,
) -> None:
    """A robbery: a unit off the donor and on the receiver, as one entry, whole or not at all.

    It needs its tag, an inspection (--inspection with --unit-inspected-by) or a release filed since: without one it is
    a stop. So is a donor that was in an accident, withdrawn or parked long (airframe_states; long is the setting
    long_parked_days, 365 without it), until a release since is filed. The donor's position is empty afterwards.

    \b
    Examples:
      fleetlife swap rob Q-TRP L2 Q-TRN L1 --inspection TAG-117 --unit-inspected-by S-402 --harness left --preview
      fleetlife swap rob --file robbery.json --yes
    """
    from fleetlife.actions.rob import RobberyRequest, record_robbery

    record_asked(
        RobberyRequest,
        record_robbery,
        {
            "donor": donor,
            "donor_position": donor_position,
            "registration": registration,
            "position": position,
            "on": on,
            "unit": pair(unit, unit_manufacturer),
            "remove": pair(remove),
            "sequence": sequence,
            "inspection": inspection,
            "unit_inspected_by": unit_inspected_by,
            "donor_hours_total": donor_hours_total,
            "donor_cycles_total": donor_cycles_total,
            "donor_technical_log": donor_technical_log,
            "hours_total": hours_total,
            "cycles_total": cycles_total,
            "technical_log": technical_log,
            "certificate": certificate,
            "certificate_organisation": organisation,
            "harness": harness,
            "removed_to": removed_to,
            "removed_to_name": removed_to_name,
            "removed_condition": removed_condition,
            "removal_kind": removal_kind,
            "defect": defect,
            "work_order": work_order,
            "data_reference": data_reference,
            "data_revision": data_revision,
            "station": station,
            "signed_by": signed_by,
            "inspected_by": inspected_by,
            "released_by": released_by,
        },
        replace(asked, hours=hours),
    )


# --- on the bench ---------------------------------------------------------------------------------------------------


@takes(*ACCEPTING)
def assembly_fit(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    into: Annotated[UnitPair, text_option("--into", "PART SERIAL", "The unit that holds it from then on.")] = None,
    slot: Annotated[str | None, text_option("--slot", "NAME", "Its slot; else the only one that takes it.")] = None,
    condition: Annotated[str | None, text_option("--condition", "WORD", "Its condition; else as it was.")] = None,
    certificate: Annotated[str | None, text_option("--certificate", "NUMBER", "The release it goes in by.")] = None,
    organisation: Annotated[str | None, text_option("--organisation", "NAME", "Who issued the certificate.")] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order for it.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The approved data worked to.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who did it.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    into_manufacturer: Annotated[str | None, text_option("--into-manufacturer", "NAME", "Where two bear them.")] = None,
    *,
    asked: Asked,
) -> None:
    """A child goes into its parent: a reservoir or a battery into its pack.

    The slot must take its part, and it must be fit to go in: condition, hold, release since it came out, and the life
    it has if fitted that day. What is wrong is acknowledged by name and reason, or nothing is recorded.

    \b
    Examples:
      fleetlife assembly fit LC-12-1 B12070 --into KV-2100-3 20110 --signed-by S-112 --preview
      fleetlife assembly fit --file bench.json --yes
    """
    from fleetlife.actions.bench import AssemblyFitRequest, fit_child

    record_asked(
        AssemblyFitRequest,
        fit_child,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "parent": pair(into, into_manufacturer),
            "on": on,
            "slot": slot,
            "sequence": sequence,
            "condition": condition,
            "certificate": certificate,
            "certificate_organisation": organisation,
            "order": order,
            "reference": reference,
            "signed_by": signed_by,
        },
        asked,
    )


@takes(*FILED)
def assembly_take_out(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    to: Annotated[str | None, text_option("--to", "PLACE", "store, shop or unknown; store if left out.")] = None,
    store: Annotated[str | None, text_option("--store", "NAME", "Which store.")] = None,
    bin: Annotated[str | None, text_option("--bin", "NAME", "Which bin there.")] = None,
    organisation: Annotated[str | None, text_option("--organisation", "NAME", "Which shop.")] = None,
    condition: Annotated[str | None, text_option("--condition", "WORD", "Its condition; else as it was.")] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order for it.")] = None,
    expected_back: Annotated[str | None, text_option("--expected-back", "DAY", "From the shop.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The document that says so.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who did it.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """A child comes out of its parent, and where it goes.

    \b
    Examples:
      fleetlife assembly take-out LC-12-1 B12053 --store "Skarholm main store" --condition unserviceable --preview
      fleetlife assembly take-out --file bench.json --yes
    """
    from fleetlife.actions.bench import TakeOutRequest, take_out_child

    record_asked(
        TakeOutRequest,
        take_out_child,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "to": to,
            "store": store,
            "bin": bin,
            "organisation": organisation,
            "sequence": sequence,
            "condition": condition,
            "order": order,
            "expected_back": expected_back,
            "reference": reference,
            "signed_by": signed_by,
        },
        asked,
    )


@takes(*FILED)
def re_rig(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    harness: Annotated[
        str | None, text_option("--harness", "SIDE", "The side it is rigged for now: left, right.")
    ] = None,
    data_reference: Annotated[
        str | None, text_option("--data-reference", "TEXT", "The approved data worked to.")
    ] = None,
    data_revision: Annotated[str | None, text_option("--data-revision", "TEXT", "Its revision.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who made it.")] = None,
    inspected_by: Annotated[str | None, text_option("--inspected-by", "STAFF", "Who inspected it.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """The harness of a unit in hand was made for the other side, by name and by the approved data worked to.

    Only of a part that serves either side, and of a unit in a store or a shop; where it lies it stays. `swap check`
    then answers by the new side, and the rig is looked at by eye before fitting all the same.

    \b
    Examples:
      fleetlife stores re-rig KV-2100-3 20121 --harness left --data-reference "CMM 25-66-11" --signed-by S-112 --preview
      fleetlife stores re-rig --file rig.json --yes
    """
    from fleetlife.actions.re_rig import ReRigRequest, record_re_rig

    record_asked(
        ReRigRequest,
        record_re_rig,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "harness": harness,
            "data_reference": data_reference,
            "data_revision": data_revision,
            "signed_by": signed_by,
            "inspected_by": inspected_by,
            "sequence": sequence,
        },
        asked,
    )


@takes(*FILED)
def scrap(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    disposition: Annotated[
        str | None,
        text_option(
            "--disposition",
            "WORD",
            "How it is kept from coming back: record, tag, mark, permanent_mark, segregated, mutilated, other.",
        ),
    ] = None,
    order: Annotated[str | None, text_option("--order", "NUMBER", "The order for it.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The document that says so.")] = None,
    signed_by: Annotated[str | None, text_option("--signed-by", "STAFF", "Who did it.")] = None,
    on: On = None,
    sequence: OrderInDay = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """A unit is scrapped, and how it is kept from coming back; of one that is scrapped already, that alone.

    Without a disposition scrap of a part with a life limit is found (MOV103).

    \b
    Examples:
      fleetlife stores scrap TH-880-1 R88052 --disposition mutilated --signed-by S-402 --preview
      fleetlife stores scrap --file scrap.json --yes
    """
    from fleetlife.actions.scrap import ScrapRequest, record_scrap

    record_asked(
        ScrapRequest,
        record_scrap,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "disposition": disposition,
            "order": order,
            "reference": reference,
            "signed_by": signed_by,
            "sequence": sequence,
        },
        asked,
    )


@takes(*FILED)
def re_identify(
    part_number: PartOrFile = None,
    serial_number: SerialOrFile = None,
    new_part_number: Annotated[
        str | None, text_option("--new-part-number", "PART", "What it bears from then on.")
    ] = None,
    modification: Annotated[str | None, text_option("--modification", "NAME", "By which modification.")] = None,
    certificate: Annotated[str | None, text_option("--certificate", "NUMBER", "The paper that shows it.")] = None,
    organisation: Annotated[str | None, text_option("--organisation", "NAME", "Who issued the certificate.")] = None,
    reference: Annotated[str | None, text_option("--reference", "TEXT", "The document of the modification.")] = None,
    on: On = None,
    manufacturer: Manufacturer = None,
    *,
    asked: Asked,
) -> None:
    """A unit bears another part number by a modification; shows what moves by it before it is recorded.

    The unit stays the unit it is, with its serial number, its papers and its life. What applies to it is from then on
    the programme of the new number: a number with none is found (LIF103).

    \b
    Examples:
      fleetlife identity re-identify KV-2100-1 20207 --new-part-number KV-2100-3 --modification SB-25-02 --preview
      fleetlife identity re-identify --file number.json --yes
    """
    from fleetlife.actions.re_identify import ReIdentifyRequest, record_re_identification

    record_asked(
        ReIdentifyRequest,
        record_re_identification,
        {
            "unit": unit_said(part_number, serial_number, manufacturer),
            "on": on,
            "modification": modification,
            "new_part_number": new_part_number,
            "certificate": certificate,
            "certificate_organisation": organisation,
            "reference": reference,
        },
        asked,
    )
