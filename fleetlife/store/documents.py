"""Documents as they were received: kept under the digest of their content, beside the database or in an object store.

A document is never changed and never taken away here. Its name is its digest, so what is found under the name either is
what was filed or is seen not to be.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

from fleetlife.terms.refusal import Refusal

State = Literal["there", "missing", "altered"]
LARGEST = 200 * 1024 * 1024
_NAME = re.compile(r"sha256:([0-9a-f]{64})(\.[a-z0-9]{1,8})?")
_PIECE = 1 << 20


def is_kept(document: str | None) -> bool:
    """Whether the text is the name of a document kept here, and not of a place where people keep it."""
    return document is not None and _NAME.fullmatch(document) is not None


class Documents:
    """A folder, or any store that fsspec opens by its address (`s3://bucket/papers`).

    Refusal on opening: `documents-not-reachable`.
    """

    def __init__(self, place: str) -> None:
        import fsspec

        self.place = place
        try:
            self._files, self._root = fsspec.core.url_to_fs(place)
        except (ImportError, ValueError, OSError) as error:
            raise Refusal(
                "documents-not-reachable",
                f"The place for documents, {place}, cannot be opened: {error}.",
                remedy="Name a folder (--documents, or documents in the settings file); an object store needs the "
                "library that speaks to it.",
                status=4,
            ) from error

    def keep(self, path: Path) -> str:
        """Keep a copy of the file; its name comes back: `sha256:` and the digest, and the file's ending.

        A document that is kept already is not written again. Refusals: `document-not-read`, `document-empty`,
        `document-too-large`, `document-altered` (what stands under the name is not this), `documents-not-reachable`.
        """
        try:
            size = path.stat().st_size
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            raise Refusal(
                "document-not-read", f"{path} cannot be read: {error.strerror or error}.", remedy="Name a file."
            ) from error
        if size == 0:
            raise Refusal("document-empty", f"{path} is empty.", remedy="Scan or send it again.")
        if size > LARGEST:
            raise Refusal(
                "document-too-large",
                f"{path} has {size // 1_048_576} megabytes; {LARGEST // 1_048_576} are the most.",
                remedy="Scan it in another resolution, or split it.",
            )
        ending = path.suffix.lower()
        name = f"sha256:{digest}{ending if re.fullmatch(r'[.][a-z0-9]{1,8}', ending) else ''}"
        state = self.state(name)
        if state == "altered":
            raise Refusal(
                "document-altered",
                f"Under {name} stands something else in {self.place}.",
                remedy="Somebody changed a kept document: look at the store, put its backup back.",
            )
        if state == "missing":
            self._write(path, name)
        return name

    def _write(self, path: Path, name: str) -> None:
        """Under another name first, so that a cut connection leaves nothing half there under its own."""
        final = self._path(name)
        arriving = f"{final}.arriving"
        try:
            self._files.makedirs(final.rpartition("/")[0], exist_ok=True)
            with path.open("rb") as source, self._files.open(arriving, "wb") as target:
                while piece := source.read(_PIECE):
                    target.write(piece)
            self._files.mv(arriving, final)
        except OSError as error:
            raise self._unreachable(error) from error
        if self.state(name) != "there":
            raise Refusal(
                "document-altered",
                f"What arrived in {self.place} is not what was sent.",
                remedy="Nothing was recorded: file it again.",
            )

    def state(self, name: str) -> State:
        """Whether what stands under the name is what was filed; every byte is read. Refusal:
        `documents-not-reachable`."""
        parts = _NAME.fullmatch(name)
        assert parts is not None, "not the name of a kept document"
        found = hashlib.sha256()
        try:
            with self._files.open(self._path(name), "rb") as file:
                while piece := file.read(_PIECE):
                    found.update(piece)
        except FileNotFoundError:
            return "missing"
        except OSError as error:
            raise self._unreachable(error) from error
        return "there" if found.hexdigest() == parts[1] else "altered"

    def content(self, name: str) -> bytes | None:
        """What stands under the name, where that is what was filed; None where it is missing or something else.
        Refusal: `documents-not-reachable`."""
        parts = _NAME.fullmatch(name)
        assert parts is not None, "not the name of a kept document"
        try:
            with self._files.open(self._path(name), "rb") as file:
                found: bytes = file.read()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise self._unreachable(error) from error
        return found if hashlib.sha256(found).hexdigest() == parts[1] else None

    def names(self) -> Iterator[str]:
        """The names of all that is kept, in order, whatever its content is now."""
        try:
            found: list[Any] = self._files.find(self._root)
        except FileNotFoundError:
            found = []
        except OSError as error:
            raise self._unreachable(error) from error
        names = (f"sha256:{str(path).rpartition('/')[2]}" for path in found)
        yield from sorted(name for name in names if _NAME.fullmatch(name))

    def _path(self, name: str) -> str:
        bare = name.removeprefix("sha256:")
        return f"{self._root.rstrip('/')}/{bare[:2]}/{bare}"

    def _unreachable(self, error: OSError) -> Refusal:
        return Refusal(
            "documents-not-reachable",
            f"The place for documents, {self.place}, cannot be reached: {error.strerror or error}.",
            remedy="See that it is there and may be written, or name another (--documents).",
            status=4,
        )
