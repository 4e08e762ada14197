"""How a file is named to a browser (RFC 6266), whatever its name holds."""

from __future__ import annotations

import re
import unicodedata
from urllib.parse import quote


def disposition(name: str, *, inline: bool = False) -> str:
    """The value of `Content-Disposition`: a plain name for old readers, and the whole one percent-encoded (RFC 8187)."""
    shown = "".join(each for each in name if unicodedata.category(each)[0] != "C").replace("/", "_") or "file"
    plain = re.sub(r"[^A-Za-z0-9._ -]", "_", unicodedata.normalize("NFKD", shown).encode("ascii", "ignore").decode())
    whole = quote(shown.encode("utf-8", "replace"), safe="")
    return f"{'inline' if inline else 'attachment'}; filename=\"{plain or 'file'}\"; filename*=UTF-8''{whole}"
