"""Use cases of a car's files: photographs, weighbridge tickets, speed traces. A name is a label and never becomes a path."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from voltwright.quantity.errors import EntryError, Problem
from voltwright.records.checks import must_exist
from voltwright.records.names import safe_path
from voltwright.services.actor import Actor, use_case
from voltwright.services.shared import Shared
from voltwright.services.views import Attachment, PaperFile


@dataclass(frozen=True)
class Type:
    """What may be kept under an ending: its media type, the most bytes, and how such a file begins; text where it is UTF-8."""

    media: str
    most: int
    begins: tuple[bytes, ...] = ()
    text: bool = False


_PHOTO, _TABLE, _SCAN, _LOG = 20_000_000, 12_000_000, 60_000_000, 60_000_000
# Nothing in it acts when a browser opens it: no HTML, no SVG, no office files with macros.
TYPES: dict[str, Type] = {
    "jpg": Type("image/jpeg", _PHOTO, (b"\xff\xd8\xff",)),
    "jpeg": Type("image/jpeg", _PHOTO, (b"\xff\xd8\xff",)),
    "png": Type("image/png", _PHOTO, (b"\x89PNG\r\n\x1a\n",)),
    "webp": Type("image/webp", _PHOTO, (b"RIFF",)),
    "pdf": Type("application/pdf", _SCAN, (b"%PDF-",)),
    "csv": Type("text/csv", _TABLE, text=True),
    "txt": Type("text/plain", _TABLE, text=True),
    "yaml": Type("text/plain", 1_000_000, text=True),
    "gpx": Type("application/gpx+xml", _TABLE, text=True),
    "dbc": Type("text/plain", _TABLE, text=True),
    "log": Type("text/plain", _LOG, text=True),
    "stl": Type("model/stl", _SCAN),
    "ply": Type("application/octet-stream", _SCAN, (b"ply",)),
    "obj": Type("model/obj", _SCAN, text=True),
    "step": Type("model/step", _SCAN, (b"ISO-10303-21",)),
    "dxf": Type("image/vnd.dxf", _SCAN),
}


@dataclass(frozen=True)
class Attachments:
    """A file of the same name again stands beside the older one; the newest counts."""

    _shared: Shared

    @use_case("attachments.list")
    def list(self, actor: Actor, car: int) -> tuple[Attachment, ...]:
        """The files of a car, oldest first."""
        return self._shared.records.attachments.list(car)

    @use_case("attachments.add")
    def add(self, actor: Actor, car: int, name: str, content: bytes, *, note: str = "") -> Attachment:
        """Keep a file of a car. Raises AbsentError, and EntryError where name, type or size is refused."""
        name = plain_name(name)
        _must_be_of_its_type(name, content)
        shared = self._shared
        return shared.records.attachments.add(car, name, content, note=note, who=actor.name, at=shared.clock())

    @use_case("attachments.read")
    def read(self, actor: Actor, car: int, attachment: int) -> PaperFile:
        """A file of a car. Raises AbsentError, and DamageError where it is not the one that was kept."""
        kept = {each.id: each for each in self._shared.records.attachments.list(car)}
        found: Attachment = must_exist(kept.get(attachment), f"attachment {attachment} of car {car}")
        known = TYPES.get(_ending(found.name))
        media = known.media if known else "application/octet-stream"
        content = self._shared.records.attachments.read(attachment)
        return PaperFile(safe_path(found.name).name, media, content)


def plain_name(name: str) -> str:
    """A name that is nothing but a name. Raises EntryError."""
    plain = unicodedata.normalize("NFC", name).strip()
    hidden = [each for each in plain if unicodedata.category(each)[0] == "C"]
    if hidden or set(plain) & set('/\\:*?"<>|') or plain.startswith(".") or not plain.strip("."):
        what = f"'{plain[:60].encode('ascii', 'replace').decode()}' is not the plain name of a file"
        allowed = "letters, digits, blanks and signs, without slashes, and no dot at the front"
        raise EntryError(Problem(what, allowed, "give the file a plain name, such as weighbridge-front.jpg"))
    return plain


def _ending(name: str) -> str:
    return name.rpartition(".")[2].lower()


def _must_be_of_its_type(name: str, content: bytes) -> None:
    known = TYPES.get(_ending(name)) if "." in name else None
    if known is None:
        what, mend = f"'{name[:60]}' is of no type that is kept", "save it as one of these, such as PDF, PNG or CSV"
        raise EntryError(Problem(what, f"names that end in {', '.join(f'.{each}' for each in TYPES)}", mend))
    if not content:
        raise EntryError(Problem(f"'{name[:60]}' is empty", "a file with something in it", "choose it again"))
    if len(content) > known.most:
        what = f"'{name[:60]}' has {len(content) / 1e6:.0f} MB"
        raise EntryError(Problem(what, f"up to {known.most / 1e6:.0f} MB", "make it smaller, or cut it into pieces"))
    if not (_is_text(content) if known.text else not known.begins or content.startswith(known.begins)):
        what = f"'{name[:60]}' does not hold what its name says"
        allowed = "text written as UTF-8" if known.text else f"a file of the type {known.media}"
        raise EntryError(Problem(what, allowed, "save it anew in that type, or correct its ending"))


def _is_text(content: bytes) -> bool:
    try:
        return "\x00" not in content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return False
