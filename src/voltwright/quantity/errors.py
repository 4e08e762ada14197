"""One class a cause, each with a stable code; every message says where, what, what is allowed and how to mend it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

_WORD = re.compile(r"[^\W\d_]+(?=[ ,;:]|$)")


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with what was handed in."""

    what: str
    allowed: str = ""
    mend: str = ""
    path: str = ""
    line: int | None = None
    file: str = ""

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line) if part)
        what = self.what if place or self.path else _begun(self.what)
        head = ": ".join(part for part in (place, self.path, what) if part)
        rest = [
            f"{lead} {_sentence(text)}"
            for lead, text in (("Allowed:", self.allowed), ("To mend it:", self.mend))
            if text
        ]
        return " ".join([_sentence(head), *rest])


def _begun(text: str) -> str:
    """With a capital, if a word stands first: an id or the name of a file is left as it is written."""
    return text[:1].upper() + text[1:] if _WORD.match(text) else text


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else text + "."


class VoltwrightError(Exception):
    """Whatever Voltwright refuses; `code` never changes, `problems` lists every cause that was found."""

    code = "VW000"
    title = "Voltwright cannot go on"

    def __init__(self, problems: Problem | Sequence[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class QuantityError(VoltwrightError, ValueError):
    """A quantity as a person typed it cannot be read, or is in the wrong unit or range.

    It is a ValueError too, so that the document reader collects it with the other mistakes.
    """

    code = "VW101"
    title = "a quantity cannot be read"


class SourceError(VoltwrightError):
    """A source is named that the references file does not hold."""

    code = "VW102"
    title = "an unknown source"


class FileError(VoltwrightError):
    """A file is missing, too large, wrongly encoded, a folder, or not readable."""

    code = "VW201"
    title = "a file cannot be read"


class BuildError(VoltwrightError):
    """The build document does not say what a build must say."""

    code = "VW202"
    title = "the build document is not right"


class FormatError(VoltwrightError):
    """The build document was written by a newer Voltwright, or does not say for which it was written."""

    code = "VW203"
    title = "an unknown file format"


class PartError(VoltwrightError):
    """A part is unknown, or its datasheet is incomplete or contradicts itself."""

    code = "VW301"
    title = "a part cannot be used"


class FigureError(VoltwrightError):
    """A figure was asked for that a dossier does not hold."""

    code = "VW401"
    title = "an unknown figure"


class OutputError(VoltwrightError):
    """A file or folder cannot be written."""

    code = "VW501"
    title = "the result cannot be written"


class SettingError(VoltwrightError):
    """An environment variable that Voltwright heeds cannot be used."""

    code = "VW502"
    title = "a setting cannot be used"


class StoreError(VoltwrightError):
    """The records are not there, are no records, or their server does not answer."""

    code = "VW601"
    title = "the records cannot be opened"


class SchemaError(VoltwrightError):
    """The records were written by a newer Voltwright. Nothing in them was touched."""

    code = "VW602"
    title = "the records are newer than this Voltwright"


class ReadOnlyError(VoltwrightError):
    """The records, or the folder in which they are, may not be written. What was there is unharmed."""

    code = "VW603"
    title = "the records cannot be written"


class FullError(VoltwrightError):
    """The disk is full. What was saved before is unharmed; what was being saved is not saved."""

    code = "VW604"
    title = "there is no room left for the records"


class BusyError(VoltwrightError):
    """Another program keeps the records locked for longer than is waited. What was being saved is not saved."""

    code = "VW605"
    title = "the records are in use"


@dataclass(frozen=True)
class Newer:
    """An edit that somebody saved in the meantime."""

    number: int
    who: str
    at: datetime
    path: str


class ConflictError(VoltwrightError):
    """Somebody else changed the same build first. What was refused is kept beside the draft, and nothing is lost.

    `newer` lists their edits; `theirs` and `yours` are differences from the document that both started from, as unified
    diffs; `kept` is the id of the refused edit, or None where the refused step was no new text.
    """

    code = "VW606"
    title = "somebody else saved first"

    def __init__(
        self, problem: Problem, newer: Sequence[Newer] = (), theirs: str = "", yours: str = "", kept: int | None = None
    ) -> None:
        super().__init__(problem)
        self.newer, self.theirs, self.yours, self.kept = tuple(newer), theirs, yours, kept


class DamageError(VoltwrightError):
    """What is kept is not what was saved: a checksum differs, rows are missing, or the file is damaged."""

    code = "VW607"
    title = "what was kept is damaged"


class AbsentError(VoltwrightError):
    """The records hold no such car, build, edit, revision, person, part or attachment."""

    code = "VW608"
    title = "the records hold no such thing"


class EntryError(VoltwrightError):
    """What was handed to the records cannot be kept: a name is empty or taken, a time has no zone, a file is too large."""

    code = "VW609"
    title = "this cannot be kept"


class RoleError(VoltwrightError):
    """The role of who asked does not allow it. Nothing was done."""

    code = "VW701"
    title = "this is not yours to do"


class JobError(VoltwrightError):
    """There is no such job any more, it was stopped, it holds no such result yet, or too many wait already."""

    code = "VW702"
    title = "the job cannot give that"


class RequestError(VoltwrightError):
    """What a browser or program sent is not in the form that this address takes, is too large, or there is no such address."""

    code = "VW703"
    title = "the request cannot be used"


class DoorError(VoltwrightError):
    """Nobody is signed in, name or password are wrong, there were too many tries, or the request came from another site."""

    code = "VW704"
    title = "the door stays shut"


class ServeError(VoltwrightError):
    """The pages cannot be served: the port is in use, a certificate cannot be read, or no owner could sign in."""

    code = "VW705"
    title = "the pages cannot be served"


ALL = (
    QuantityError,
    SourceError,
    FileError,
    BuildError,
    FormatError,
    PartError,
    FigureError,
    OutputError,
    SettingError,
    StoreError,
    SchemaError,
    ReadOnlyError,
    FullError,
    BusyError,
    ConflictError,
    DamageError,
    AbsentError,
    EntryError,
    RoleError,
    JobError,
    RequestError,
    DoorError,
    ServeError,
)
