"""Run every benchmark, print the table, and write it beside: `python -m benchmarks [--small] [--out FILE] [TOPIC ...]`."""

from __future__ import annotations

import argparse
from pathlib import Path

from benchmarks import assessing, browsing, cell_model, growth, life, many_cars, many_users, one_car, records, serving
from benchmarks.table import HEADING, SMALL, Row, Setting, line, write

TOPICS = {
    "one_car": one_car.rows,
    "cell_model": cell_model.rows,
    "many_cars": many_cars.rows,
    "growth": growth.rows,
    "life": life.rows,
    "assessing": assessing.rows,
    "records": records.rows,
    "many_users": many_users.rows,
    "serving": serving.rows,
    "browsing": browsing.rows,
}


def main() -> None:
    asked = argparse.ArgumentParser(prog="benchmarks", description="Speed, side by side with other ways.")
    asked.add_argument("topics", nargs="*", choices=[*TOPICS, []], metavar="TOPIC", help=", ".join(TOPICS))
    asked.add_argument("--small", action="store_true", help="once each and few cars: to try the benchmarks themselves")
    asked.add_argument("--out", type=Path, default=Path(__file__).with_name("latest.json"))
    given = asked.parse_args()
    setting = SMALL if given.small else Setting()
    found: list[Row] = []
    print(HEADING)
    for topic in given.topics or TOPICS:
        for row in TOPICS[topic](setting):
            print(line(row), flush=True)
            found.append(row)
    write(found, given.out)


if __name__ == "__main__":
    main()
