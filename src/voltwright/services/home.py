"""Where Voltwright keeps its data, and where the records are."""

from __future__ import annotations

import os
from pathlib import Path

from platformdirs import user_data_path

HOME = "VOLTWRIGHT_HOME"  # a folder
RECORDS = "VOLTWRIGHT_RECORDS"  # the address of a PostgreSQL server


def home() -> Path:
    """The folder that the environment names, else the one that this system has for data of programs."""
    return Path(os.environ.get(HOME) or user_data_path("voltwright", appauthor=False))


def place_of_records() -> str | Path:
    """The address of the server that the environment names, else the folder of data."""
    return os.environ.get(RECORDS) or home()
