"""The same loops by the interpreter, started with NUMBA_DISABLE_JIT=1: `python -m benchmarks.plain trip|life|point REPEATS`.

Reads the car from its standard input: to work it out would drive every trip of the example first.
"""

from __future__ import annotations

import json
import sys

import numpy as np

from benchmarks import example
from benchmarks.life import PACK
from benchmarks.table import median
from voltwright.kernels import journey, lives
from voltwright.kernels.car import Car, Tables
from voltwright.rules.dossier import assess


def main() -> None:
    """Print the median seconds as JSON."""
    what, repeats = sys.argv[1], int(sys.argv[2])
    given = json.load(sys.stdin)
    car, cells = Car(*given["car"]), Tables(*(np.array(each) for each in given["cells"]))
    asked = journey.journey("wltc-3b", "", given["speed"])
    if what == "life":
        print(json.dumps(median(lambda: lives.lived(**PACK), repeats, warm=False)))
    elif what == "trip":
        print(json.dumps(median(lambda: journey.drive_once(car, cells, asked), repeats)))
    else:
        built = example.load(example.COUPE)
        print(json.dumps(median(lambda: assess(built, with_bands=False), 1, warm=False)))


if __name__ == "__main__":
    main()
