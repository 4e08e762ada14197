"""Draws docs/img/side-view.png, the picture of the README, from the example coupé."""

from __future__ import annotations

from pathlib import Path

import typst

from voltwright.build.reader import load
from voltwright.papers.side_view import side_view
from voltwright.papers.svg import svg
from voltwright.papers.typst_render import shipped_fonts
from voltwright.rules.dossier import assess

ROOT = Path(__file__).parents[1]
PAGE = """#set page(width: 180mm, height: auto, margin: 3mm, fill: white)
#image(bytes(sys.inputs.svg), format: "svg", width: 100%)
"""


def main() -> None:
    drawing = svg(side_view(assess(load(ROOT / "examples" / "coupe.yaml")), alone=True))
    picture = typst.compile(
        PAGE.encode(), format="png", ppi=120, font_paths=shipped_fonts(), sys_inputs={"svg": drawing}
    )
    ROOT.joinpath("docs", "img", "side-view.png").write_bytes(picture)


if __name__ == "__main__":
    main()
