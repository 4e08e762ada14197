"""The example's car as the simulation sees it, and the trip that it drives."""

from __future__ import annotations

import functools
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from voltwright.assess.case import Case
from voltwright.assess.figures import work_out
from voltwright.assess.trips import journeys
from voltwright.build.reader import load
from voltwright.kernels import journey, trip
from voltwright.kernels.car import Car, Tables
from voltwright.kernels.step import LIMITS

ROOT = Path(__file__).parents[1]
COUPE = ROOT / "examples" / "coupe.yaml"
SEED = 1729


@functools.cache
def known() -> tuple[Car, Tables, journey.Journey]:
    """The coupé, the tables of its cells, and the WLTC of class 3b in steps of 1 s."""
    built = load(COUPE)
    case = Case(built.build, built.shelf, built.beside)
    made = work_out(case).simulated
    if made is None:
        raise SystemExit("the example's car cannot be simulated")
    return made.car.value, made.cells.value, journeys(case)["wltc-3b"]


def spread(count: int) -> Car:
    """So many cars around the coupé: mass, drag and rolling resistance, each 5 % about its value."""
    car, draw = known()[0], np.random.default_rng(SEED)
    names = ("mass", "drag_area", "rolling")
    return car._replace(**{name: getattr(car, name) * (1 + 0.05 * draw.standard_normal(count)) for name in names})


def compiled_trip(asked: journey.Journey) -> Callable[[], Any]:
    """The loops of one trip by themselves: what they write into is there already."""
    car, cells = known()[:2]
    car = Car(*(float(each) for each in car))
    count = len(asked.grade)
    state, held, book = np.zeros(trip.STATE), np.zeros(len(LIMITS)), np.zeros(trip.LEDGER)
    planned = tuple(np.empty(count) for _ in range(4))
    done = (np.empty(count + 1), *(np.empty(count) for _ in range(6)))
    way = (car, cells.rest, cells.ohm, asked.speed, asked.grade, asked.head, asked.throttle, asked.step)
    trip.start(car, cells.rest, cells.ohm, asked.speed[0], state)
    begun = state.copy()

    def once() -> Any:
        state[:] = begun
        return trip.whole_trip(*way, state, planned, done, held, book)

    return once


def in_plain_python(what: str, repeats: int) -> float:
    """Seconds of a piece of `benchmarks.plain` in a process where nothing is compiled."""
    car, cells, asked = known()
    given = {
        "car": [float(each) for each in car],
        "cells": [each.tolist() for each in cells],
        "speed": asked.speed.tolist(),
    }
    words = (sys.executable, "-m", "benchmarks.plain", what, str(repeats))
    there = {**os.environ, "NUMBA_DISABLE_JIT": "1"}
    done = subprocess.run(  # noqa: S603
        words, cwd=ROOT, env=there, capture_output=True, text=True, check=True, input=json.dumps(given)
    )
    return float(json.loads(done.stdout))
