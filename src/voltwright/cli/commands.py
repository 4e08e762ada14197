"""The commands, but for those of the doors.

Exit codes: 0 all is well, 1 a `stop` stands, 2 bad input, 3 an error that nobody expected (it is in the log).
"""

from __future__ import annotations

import datetime
import io
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from voltwright.cli import doors
from voltwright.cli.speaking import complain, say
from voltwright.cli.wording import InOurWords
from voltwright.quantity.errors import VoltwrightError
from voltwright.services import beginning, cases, day, fitting, keeping, mishaps, remedies, trips, variants

app = typer.Typer(
    cls=InOurWords,
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Engineering workbench for electric conversions of classic cars.",
)
parts_app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Look at the shelf of parts, or put a datasheet on it."
)
app.add_typer(parts_app, name="parts")
trips_app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Look at the known trips, or drive the car of a build over one."
)
app.add_typer(trips_app, name="trips")
records_app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Look at the records, or move build files into or out of them."
)
app.add_typer(records_app, name="records")
app.add_typer(doors.people_app, name="people")
app.command()(doors.serve)


class Units(StrEnum):
    """Systems of units for people."""

    metric = "metric"
    uk = "uk"
    us = "us"


def _day(named: datetime.datetime | None) -> datetime.date:
    return day.today(named.date() if named else None)


BuildPath = Annotated[Path, typer.Argument(metavar="FILE", help="The build file (YAML).", show_default=False)]
TodayOption = Annotated[
    datetime.datetime | None,
    typer.Option(
        "--today",
        metavar="DATE",
        formats=["%Y-%m-%d"],
        help="Judge how old rule data are as on this day, such as 2027-03-31.",
    ),
]
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
    today: TodayOption = None,
) -> None:
    """Work out every figure of a build and judge it."""
    if figure is not None and as_json:
        raise typer.BadParameter("--figure prints one value and --json prints them all: choose one")
    system = "metric" if as_json else units.value
    whole = figure is None
    dossier = cases.assess_file(file, with_bands=bands and whole, system=system, today=_day(today), search=whole)
    if figure is not None:
        value = dossier.figure(figure).value
        say("null" if value is None else f"{value:.10g}")
    elif as_json:
        say(dossier.as_json(), data=True)
    else:
        say(cases.summary(dossier, units.value))
    raise typer.Exit(1 if dossier.has_stop else 0)


@app.command()
def begin(
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="The new build file; there must be none of that name.")
    ],
    answer: Annotated[
        list[str] | None,
        typer.Option("--answer", metavar="NAME=VALUE", help="An answer, such as body=saloon; once for each question."),
    ] = None,
) -> None:
    """Begin a build file with the answers to five questions; everything else is assumed and marked so."""
    pairs = (each.partition("=") for each in answer or ())
    beginning.begin_file(beginning.answers_of({name.strip(): value for name, _, value in pairs}), out)
    say(str(out))


@app.command()
def papers(
    file: BuildPath,
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the papers go.")] = Path("papers"),
    date: Annotated[str | None, typer.Option("--date", metavar="DATE", help="The date to print on the papers.")] = None,
    units: UnitsOption = Units.metric,
    today: TodayOption = None,
) -> None:
    """Write the papers of a build: design.pdf, side-view.svg and dossier.json."""
    dossier, written = cases.make_papers(file, out, date=date, system=units.value, today=_day(today))
    for path in written:
        say(str(path))
    if dossier.not_for_building:
        say(f"NOT FOR BUILDING: {'; '.join(dossier.not_for_building)}")
    raise typer.Exit(1 if dossier.has_stop else 0)


@app.command()
def mend(
    file: BuildPath,
    key: Annotated[str | None, typer.Argument(metavar="KEY", help="One finding, such as mass.payload_seats.")] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print findings, remedies and all that they move as JSON.")
    ] = False,
    units: UnitsOption = Units.metric,
    today: TodayOption = None,
) -> None:
    """Show the smallest steps that put each finding right, and what each does to the rest of the car."""
    system = "metric" if as_json else units.value
    dossier, told = remedies.remedies_of(file, key, system=system, today=_day(today))
    say(remedies.as_data(told) if as_json else remedies.remedies_text(told, system), data=as_json)
    raise typer.Exit(1 if dossier.has_stop else 0)


@app.command()
def compare(
    file: BuildPath,
    names: Annotated[
        list[str] | None,
        typer.Argument(metavar="VARIANT", help="Variants of the build; without one, all of them."),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print what moves, appears and goes as JSON, in the units of the contract.")
    ] = False,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Also write comparison.pdf into this folder.")
    ] = None,
    date: Annotated[str | None, typer.Option("--date", metavar="DATE", help="The date to print on the paper.")] = None,
    units: UnitsOption = Units.metric,
    bands: Annotated[bool, typer.Option("--bands/--no-bands", help="Work out how sure each difference is.")] = True,
    today: TodayOption = None,
) -> None:
    """Put the variants of a build beside it: what gets better, what worse, what is found and no longer found."""
    system = "metric" if as_json else units.value
    made = variants.compare_file(file, names or (), with_bands=bands, system=system, today=_day(today))
    say(variants.as_text(made) if as_json else variants.comparison_text(made, system), data=as_json)
    if out is not None:
        path = variants.write_paper(made, out, date=date, system=units.value)
        if not as_json:
            say(str(path))
    raise typer.Exit(1 if made.has_stop else 0)


@app.command("second-pack")
def second_pack(file: BuildPath) -> None:
    """Write a variant with a second pack in the load space into the build file: one more string, its box, monitors, cables."""
    name = variants.add_second_pack(file)
    say(f"{file}: written as the variant {name}. What it sets is assumed: measure the room and the mass.")
    say(f"Put it beside the build: voltwright compare {file} {name}")


@app.command()
def explain(
    file: BuildPath, key: Annotated[str, typer.Argument(metavar="KEY", help="A figure, such as mass.rear_axle.")]
) -> None:
    """Show the working of one figure as a tree, down to where each value came from."""
    dossier, working = cases.explain(file, key)
    figure = dossier.figure(key)
    say(f"{figure.label}: {figure.printed()}")
    say(cases.tree(working) if working else f"No working: {figure.reason}")


FileOption = Annotated[
    Path | None, typer.Option("--build", metavar="FILE", help="Also the own parts beside this build file.")
]


@parts_app.command("list")
def list_parts(
    kind: Annotated[str | None, typer.Argument(metavar="KIND", help="Only this kind, such as module.")] = None,
    build: FileOption = None,
    fits: Annotated[
        Path | None, typer.Option("--fits", metavar="FILE", help="Say of each whether it fits the build, in its place.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="With --fits: print it as JSON.")] = False,
) -> None:
    """List the parts on the shelf, or say which of a kind fit a build."""
    if fits is not None:
        if kind is None or build is not None:
            raise typer.BadParameter(
                "--fits wants a KIND beside it, and no --build: its own parts are those beside FILE"
            )
        places = fitting.fitting(fits, kind)
        say(fitting.as_data(places) if as_json else "\n".join(fitting.told(places)), data=as_json)
        return
    if as_json:
        raise typer.BadParameter("--json goes with --fits")
    shelf = cases.shelf_for(build)
    ids = shelf.ids(kind)
    for part_id in ids:
        say(f"{part_id:40} {shelf.any(part_id).title}")
    if not ids:
        raise fitting.no_kind(str(kind), sorted({each.split("/")[0] for each in shelf.ids()}))


@parts_app.command("show")
def show_part(
    part_id: Annotated[str, typer.Argument(metavar="ID", help="Such as module/nmc-12s-50ah.")], build: FileOption = None
) -> None:
    """Show the datasheet of a part, with source and grade of each value."""
    part = cases.shelf_for(build).any(part_id)
    say(f"{part.id}: {part.title}")
    if part.remarks:
        say(part.remarks)
    for field, value, known in cases.part_rows(part):
        say(f"  {field:28} {value:32} {known}")


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
        complain(str(problem))
    for hint in found.hints:
        say(f"Worth adding: {hint}")
    if found.stored is None:
        complain("Not stored: mend the above and import it again.")
        raise typer.Exit(2)
    say(f"Stored {found.part.id if found.part else ''} in {found.stored}")


@trips_app.command("list")
def list_trips() -> None:
    """List the trips that can be named: title, duration, distance, top speed, and source."""
    for name, words, source in trips.listed():
        say(f"{name:12} {words}")
        say(f"{'':12} {source}")


@trips_app.command("show")
def show_trip(
    file: BuildPath,
    name: Annotated[str, typer.Argument(metavar="TRIP", help="A trip, or a journey of the build, such as wltc-3b.")],
    csv: Annotated[
        str | None, typer.Option("--csv", metavar="PATH", help="Also write it second by second; - prints only that.")
    ] = None,
) -> None:
    """Drive the car of a build over a trip: consumption, range, what holds it back, and where the energy went."""
    found = trips.on_trip(file, name)
    if csv == "-":
        say(trips.as_csv(found).rstrip("\n"), data=True)
        return
    if csv is not None:
        trips.write_csv(found, Path(csv))
    for line in trips.told(found):
        say(line)
    if csv is not None:
        say(f"Second by second: {csv}")


@app.command()
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file that does not exist yet.", show_default=False)],
) -> None:
    """Write all records into one file, and verify it. Others may go on working."""
    made = keeping.back_up(file)
    say(f"{file} ({made.size / 1e6:.1f} MB)")
    say(keeping.verified_text(made))


@app.command()
def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.", show_default=False)],
    replace: Annotated[
        bool, typer.Option("--replace", help="Put it in place of the records that are there; they are kept aside.")
    ] = False,
) -> None:
    """Bring back the records of a backup, after verifying it. End every other Voltwright before."""
    made = keeping.bring_back(file, replace=replace)
    say(keeping.verified_text(made))
    if made.aside:
        say(f"The records that were there are kept as {made.aside}")


@records_app.command("list")
def list_records() -> None:
    """List every car with its builds, edits and revisions."""
    for line in keeping.listed():
        say(line)


@records_app.command("import")
def import_folder(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Build files, or a folder of them for each car.")],
    by: Annotated[
        str | None, typer.Option("--by", metavar="NAME", help="Who signs; left out, who uses this computer.")
    ] = None,
) -> None:
    """Keep the build files of a folder, with the own parts beside them and the files that they name."""
    for line in keeping.taken_in_text(keeping.take_in(folder, by=by)):
        say(line)


@records_app.command("export")
def export_folder(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A new or empty folder.", show_default=False)],
) -> None:
    """Write a folder for each car: its builds as they stand, its files, the own parts that they name, and a car.yaml."""
    for line in keeping.handed_out_text(keeping.hand_out(folder)):
        say(line)


def main(arguments: list[str] | None = None) -> Any:
    """Run a command; whatever goes wrong ends in words and an exit code, never in a traceback."""
    for stream, errors in ((sys.stdout, "replace"), (sys.stderr, "backslashreplace")):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors=errors)
    try:
        app(args=arguments)
    except VoltwrightError as error:
        complain(f"{error.code}: {error.title}")
        for problem in error.problems:
            complain(f"  {problem}")
        sys.exit(2)
    except KeyboardInterrupt:
        complain("Stopped.")
        sys.exit(130)
    except Exception:
        complain(f"{mishaps.CODE}: {mishaps.logged()}.")
        sys.exit(3)
