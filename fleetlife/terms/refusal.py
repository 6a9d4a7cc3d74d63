"""A refusal: an anticipated no from an action. It leaves nothing written and says what to do."""

from __future__ import annotations


class Refusal(Exception):
    """An anticipated no.

    `code` is a kebab-case name that never changes, `message` says what is wrong with the facts in it,
    `remedy` says what to do next, naming the command where there is one. `details` are further lines
    (for instance every bad row of a file), each a complete sentence.
    """

    def __init__(self, code: str, message: str, *, remedy: str, details: tuple[str, ...] = (), status: int = 3) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.remedy = remedy
        self.details = details
        self.status = status

    def __str__(self) -> str:
        return f"{self.message} ({self.code}) {self.remedy}"
