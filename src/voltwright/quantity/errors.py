"""One class a cause, each with a stable code; every message says where, what, what is allowed and how to mend it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


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
        head = ": ".join(part for part in (place, self.path, self.what) if part)
        rest = [
            f"{lead} {_sentence(text)}"
            for lead, text in (("Allowed:", self.allowed), ("To mend it:", self.mend))
            if text
        ]
        return " ".join([_sentence(head), *rest])


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
)
