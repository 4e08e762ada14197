"""The command line: thin; every use case is in services. Exit 1: a `stop` stands. Exit 2: bad input."""

from __future__ import annotations

import io
import json
import logging
import logging.handlers
import os
import secrets
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from voltwright.quantity.errors import VoltwrightError
from voltwright.services import cases

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Engineering workbench for electric conversions of classic cars.",
)
parts_app = typer.Typer(no_args_is_help=True, help="Look at the shelf of parts, or put a datasheet on it.")
app.add_typer(parts_app, name="parts")


class Units(StrEnum):
    """Systems of units for people."""

    metric = "metric"
    uk = "uk"
    us = "us"


BuildPath = Annotated[Path, typer.Argument(metavar="FILE", help="The build file (YAML).", show_default=False)]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units to show: metric, uk or us.")]


@app.command()
def assess(
    file: BuildPath,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the whole dossier as JSON, in the units of the contract.")
    ] = False,
    figure: Annotated[
        str | None, typer.Option("--figure", metavar="KEY", help="Print one value, in the unit of the contract.")
    ] = None,
    units: UnitsOption = Units.metric,
    bands: Annotated[bool, typer.Option("--bands/--no-bands", help="Work out how sure each figure is.")] = True,
) -> None:
    """Work out every figure of a build and judge it."""
    dossier = cases.assess_file(file, with_bands=bands and figure is None, system="metric" if as_json else units.value)
    if figure is not None:
        value = dossier.figure(figure).value
        print("null" if value is None else f"{value:.10g}")
    elif as_json:
        print(json.dumps(dossier.as_data(), ensure_ascii=False, indent=1, allow_nan=False))
    else:
        print(cases.summary(dossier, units.value))
    raise typer.Exit(1 if dossier.has_stop else 0)


@app.command()
def papers(
    file: BuildPath,
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the papers go.")] = Path("papers"),
    date: Annotated[str | None, typer.Option("--date", metavar="DATE", help="The date to print on the papers.")] = None,
    units: UnitsOption = Units.metric,
) -> None:
    """Write the papers of a build: design.pdf, side-view.svg and dossier.json."""
    dossier, written = cases.make_papers(file, out, date=date, system=units.value)
    for path in written:
        print(path)
    if dossier.not_for_building:
        print(f"NOT FOR BUILDING: {'; '.join(dossier.not_for_building)}")
    raise typer.Exit(1 if dossier.has_stop else 0)


@app.command()
def explain(
    file: BuildPath, key: Annotated[str, typer.Argument(metavar="KEY", help="A figure, such as mass.rear_axle.")]
) -> None:
    """Show the working of one figure as a tree, down to where each value came from."""
    dossier, working = cases.explain(file, key)
    figure = dossier.figure(key)
    print(f"{figure.label}: {figure.printed()}")
    print(cases.tree(working) if working else f"No working: {figure.reason}")


FileOption = Annotated[
    Path | None, typer.Option("--build", metavar="FILE", help="Also the own parts beside this build file.")
]


@parts_app.command("list")
def list_parts(
    kind: Annotated[str | None, typer.Argument(metavar="KIND", help="Only this kind, such as module.")] = None,
    build: FileOption = None,
) -> None:
    """List the parts on the shelf."""
    shelf = cases.shelf_for(build)
    ids = shelf.ids(kind)
    for part_id in ids:
        print(f"{part_id:40} {shelf.any(part_id).title}")
    if not ids:
        from voltwright.quantity.errors import PartError, Problem

        kinds = sorted({each.split("/")[0] for each in shelf.ids()})
        raise PartError(Problem(f"there is no kind of part '{str(kind)[:40]}'", allowed=", ".join(kinds)))


@parts_app.command("show")
def show_part(
    part_id: Annotated[str, typer.Argument(metavar="ID", help="Such as module/nmc-12s-50ah.")], build: FileOption = None
) -> None:
    """Show the datasheet of a part, with source and grade of each value."""
    part = cases.shelf_for(build).any(part_id)
    print(f"{part.id}: {part.title}")
    if part.remarks:
        print(part.remarks)
    for field, value, known in cases.part_rows(part):
        print(f"  {field:28} {value:32} {known}")


@parts_app.command("import")
def import_part(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A datasheet as YAML or CSV.", show_default=False)],
    into: Annotated[
        Path, typer.Option("--into", metavar="FOLDER", help="The folder `parts` beside your build files.")
    ] = Path("parts"),
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace the part if it is there already.")] = False,
) -> None:
    """Read a maker's datasheet, say what is missing, and put it among the workshop's own parts."""
    found = cases.import_datasheet(file, into, overwrite=overwrite)
    for problem in found.problems:
        print(problem, file=sys.stderr)
    for hint in found.hints:
        print(f"Worth adding: {hint}")
    if found.stored is None:
        print("Not stored: mend the above and import it again.", file=sys.stderr)
        raise typer.Exit(2)
    print(f"Stored {found.part.id if found.part else ''} in {found.stored}")


def main(arguments: list[str] | None = None) -> Any:
    """Run a command; whatever goes wrong ends in words and an exit code, never in a traceback."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(encoding="utf-8", errors="replace")
    try:
        app(args=arguments)
    except VoltwrightError as error:
        print(f"{error.code}: {error.title}", file=sys.stderr)
        for problem in error.problems:
            print(f"  {problem}", file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
        sys.exit(0)
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        sys.exit(130)
    except Exception:
        number = secrets.token_hex(4)
        where = _log(number)
        print(
            f"VW900: something went wrong that Voltwright did not expect. Reference {number}; details in {where}.",
            file=sys.stderr,
        )
        sys.exit(3)


def _log(number: str) -> Path:
    """Write the details of an unexpected error to a rotating log."""
    folder = Path(os.environ.get("VOLTWRIGHT_HOME") or Path.home() / ".local" / "share" / "voltwright")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = logging.handlers.RotatingFileHandler(
            folder / "errors.log", maxBytes=500_000, backupCount=3, encoding="utf-8"
        )
    except OSError:
        return Path("nowhere: the log cannot be written")
    logger = logging.getLogger("voltwright.errors")
    logger.propagate = False
    logger.addHandler(handler)
    logger.error("reference %s", number, exc_info=True)
    handler.close()
    logger.removeHandler(handler)
    return folder / "errors.log"
