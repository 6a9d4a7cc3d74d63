"""`certificate`: one release certificate beside the units it is filed against."""

from __future__ import annotations

from datetime import date

from fleetlife.answers.cards import certificate_facts, paper_line
from fleetlife.answers.paper_blocks import editions_of, paper_blocks
from fleetlife.clocks.findings import findings_of_unit
from fleetlife.clocks.named import one_issuer
from fleetlife.clocks.papers import findings_of_paper
from fleetlife.clocks.world import open_world
from fleetlife.follows.rows import CertificateLineRow
from fleetlife.store.engine import Store
from fleetlife.store.papers import certificate_facts_of, lines_of
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import CertificateCard


def certificate_card(
    store: Store, *, tracking_number: str, organisation: str | None = None, as_of: date, known_at: str | None = None
) -> CertificateCard:
    """The card of one certificate, all its lines. Refusals: `certificate-unknown`, `certificate-ambiguous`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        lines = [
            line
            for line in lines_of(connection, tracking_number)
            if (organisation is None or line.organisation.casefold() == organisation.casefold())
            and line.entry <= world.known
        ]
        maker = one_issuer(tracking_number, organisation, {line.organisation for line in lines})
        units = [line.unit_id for line in lines if line.unit_id is not None]
        states = world.states(units)
        facts = certificate_facts(certificate_facts_of(connection, tracking_number))
        shown = tuple(
            paper_line(
                line,
                facts.get(_key(line)),
                states.get(line.unit_id) if line.unit_id is not None else None,
            )
            for line in lines
        )
        found = [f for f in findings_of_unit(world, units) if f.certificate and tracking_number in f.certificate]
        of_paper = [each for each in findings_of_paper(world, maker, tracking_number) if each not in found]
        stated = [fact for line in lines if (fact := facts.get(_key(line))) is not None]
        return CertificateCard(
            about=world.about("certificate"),
            lines=shown,
            findings=tuple(sorted([*found, *of_paper], key=Finding.sort_key)),
            form=next((fact.form for fact in stated if fact.form), None),
            editions=tuple(form.name for form in editions_of(stated)),
            blocks=paper_blocks(stated),
        )


def _key(line: CertificateLineRow) -> tuple[str, str, str, str]:
    return line.organisation, line.tracking_number, line.item, line.serial_number
