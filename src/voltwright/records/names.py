"""Names of people's own as names of files that any system takes, and that cannot lead anywhere else."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from pathlib import PurePosixPath

LONGEST = 100  # bytes; with a number and an ending it stays below what file systems bear
_FORBIDDEN = re.compile(r'[<>:"/\\|?*]')
# Names of devices, which one system takes with any ending.
_DEVICE = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\.|$)", re.I)


def safe_name(name: str, instead: str = "unnamed") -> str:
    """One file name: no separators, no dots or blanks at its ends, nothing that is not printed, no name of a device."""
    plain = "".join(each for each in unicodedata.normalize("NFC", name) if unicodedata.category(each)[0] != "C")
    plain = _FORBIDDEN.sub("-", plain).strip(". ")
    stem, dot, ending = plain.rpartition(".")
    if not dot or len(ending.encode()) > 10:
        stem, dot, ending = plain, "", ""
    short = stem.encode()[: LONGEST - len(ending.encode())].decode(errors="ignore").strip(". ")
    plain = f"{short}{dot}{ending}" if short else instead
    return f"_{plain}" if _DEVICE.match(plain) else plain


def safe_path(name: str) -> PurePosixPath:
    """A path below a folder, made of safe names: whatever leads up or elsewhere leads nowhere."""
    pieces = [each for each in re.split(r"[/\\]", name) if each.strip(". ")]
    return PurePosixPath(*(safe_name(each) for each in pieces or ["unnamed"]))


def free_path(wanted: PurePosixPath, taken: Iterable[str]) -> PurePosixPath:
    """That path, or with a number where one is taken; systems that fold case see no two alike."""
    folded, path, count = {each.casefold() for each in taken}, wanted, 1
    while str(path).casefold() in folded:
        count += 1
        path = wanted.with_name(f"{wanted.stem} {count}{wanted.suffix}")
    return path
