"""The inks of plots on the screen, by day and by night: of the papers, not of a style sheet."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Ink:
    """`ground` is what lies behind. `lines` differ in lightness as well; `shades` go from little to much; `heavy` is for limits."""

    ink: str
    grey: str
    hair: str
    ground: str
    band: str
    heavy: str
    bar: str
    on_shades: str
    lines: tuple[str, ...]
    shades: tuple[str, ...]
    font: str = "system-ui, sans-serif"


LIGHT = Ink(
    "#1a1a1a", "#5c5c5c", "#dcdcdc", "#ffffff", "#dbe5ec", "#a02b1d", "#7fa9c6", "#1a1a1a",
    ("#0b3c5d", "#b04c22", "#3f7d20", "#7b4aa0", "#00748c", "#7a5f00"),
    ("#f9fbfc", "#e3ecf2", "#c8dae6", "#a8c5d8", "#86aeca"),
)  # fmt: skip
DARK = Ink(
    "#e8e6e1", "#a9a9a4", "#3d4043", "#1d1f21", "#2f4552", "#ff8a73", "#3f6d8c", "#f4f2ee",
    ("#8cc4ea", "#f0a27c", "#9bcf7c", "#cfaaeb", "#62c9dd", "#dcc05e"),
    ("#22292e", "#27343c", "#2c414d", "#31505f", "#365f73"),
)  # fmt: skip
