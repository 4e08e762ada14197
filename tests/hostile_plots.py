"""Plots of each kind in which every text would act, if anything let it."""

from __future__ import annotations

from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Mark, Panel, Plot, Series
from voltwright.quantity.units import Unit

EVIL = ':formatter<img src=x onerror="window.hit=1">{b}${1}'
HOSTILE: tuple[Plot, ...] = (
    Lines(EVIL, EVIL, Axis(EVIL, Unit("km")), (
        Panel(Axis(EVIL, Unit("kW")), (
            Series(EVIL, (0.0, 1.0), (1.0, 2.0), (0.5, 1.5), (1.5, 2.5)), Series(EVIL, (0.0, 1.0), (2.0, 1.0), named_at="above"),
            Series(EVIL, (0.0, 1.0), (2.0, 3.0), named_at="start"),
        ), (Mark("x", 0.5, EVIL), Mark("y", 1.0, EVIL))),
    )),
    Heat(EVIL, EVIL, Axis(EVIL, Unit("km")), Axis(EVIL, Unit("kW")), Axis(EVIL, Unit("W")),
         (0.0, 1.0), (0.0, 1.0), ((1.0, 2.0), (3.0, None)),
         (Series(EVIL, (0.0, 1.0), (0.0, 1.0)),), (Mark("x", 0.5, EVIL),), gap=EVIL),
    Bars(EVIL, EVIL, Axis(EVIL, Unit("kWh")), (EVIL, EVIL), (1.0, 2.0)),
)  # fmt: skip
