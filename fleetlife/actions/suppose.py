"""What if: files read as `import` reads them, for an answer to suppose. Nothing is written.

Of the programme, what import would call unchanged changes nothing, and what it would refuse is refused. Planned
utilisation takes the place of the recorded plans of the airframes it names, so it contradicts nothing.
"""

from __future__ import annotations

from typing import Any

from fleetlife.actions.take_in import Intake, RowsRefused
from fleetlife.clocks.supposed import Suppose, Supposed
from fleetlife.follows.reference import Reference
from fleetlife.ledger.facts import Band, Requirement, Utilisation
from fleetlife.terms.views import SupposedFile
from fleetlife.transfer.reading import ReadFiles

# What the answer's head calls them.
SUPPOSABLE = {"requirements": "requirements", "bands": "bands", "utilisation": "planned utilisation"}


def supposing(files: ReadFiles) -> Suppose:
    """Reads the files (`SUPPOSABLE` ones) when the answer asks, in its transaction.

    Refusals, then: `rows-refused` (a `RowsRefused` with every problem).
    """
    assert all(file.name in SUPPOSABLE for file in files.files)

    def suppose(connection: Any, last_entry: int) -> Supposed:
        intake = Intake(connection, files, last_entry=last_entry)
        intake.read(files)
        bad = [*files.problems, *intake.desk.problems]
        plans: dict[int, list[Utilisation]] = {}
        for stated in intake.stated:
            if isinstance(stated.fact, Utilisation):
                plans.setdefault(stated.fact.airframe, []).append(stated.fact)
        intake.stated = [stated for stated in intake.stated if not isinstance(stated.fact, Utilisation)]
        if not bad:
            intake.sift_known_facts()
            bad = intake.desk.problems
        if bad:
            raise RowsRefused(bad, outcome="nothing was supposed and nothing is answered", again="ask")
        rules = tuple(stated.fact for stated in intake.stated if isinstance(stated.fact, (Requirement, Band)))
        known = intake.known_reference
        return Supposed(
            files=tuple(SupposedFile(SUPPOSABLE[f.name], f.path.name, f.digest()) for f in files.files),
            plans={airframe: tuple(facts) for airframe, facts in plans.items()},
            rules=rules,
            reference=Reference((*known, *((last_entry + 1, fact) for fact in rules))) if rules else None,
            unchanged=sum(intake.counts.unchanged.values()),
        )

    return suppose
