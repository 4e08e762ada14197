"""Each cell of the catalogue: what is taken from which published set, and what is typical practice.

Sizes, masses, currents and lives are not in the published sets; they are typical of such a cell and say so.
"""

from dataclasses import dataclass, field
from typing import Any

Source = dict[str, str]

TYPICAL: Source = {"source": "typical-practice", "grade": "estimated"}
SURVEY: Source = {"source": "specific-heat-survey", "grade": "measured"}
ARRHENIUS: Source = {"source": "pybamm-ecm-example", "grade": "estimated"}
LFP_CURVE: Source = {"source": "afshar-2017", "grade": "estimated"}
COLD_ENERGY = 20_000.0
"""Activation energy of resistance where the set has none of its own. [J/mol]"""

SIZE_ROUND = ("diameter", "length")
SIZE_FLAT = ("length", "width", "height")
CURVE = ("open_circuit_voltage",)
RESISTANCES = ("resistance_ms", "resistance_10s", "resistance_minutes")
NEVER_IN_A_SET = (
    "mass",
    "voltage_nominal",
    "current_continuous",
    "current_peak",
    "current_charge",
    "current_regen",
    "temperature_charge_min",
    "temperature_charge_max",
    "temperature_discharge_min",
    "temperature_discharge_max",
    "cycles_rated",
    "cycles_rated_to",
)

PULSES = "Resistance is the set's own, without contacts and tabs: 1C for 10 ms and 10 s, C/3 for ten minutes, less"
PULSES += " where that would pass the lower limit."


@dataclass(frozen=True)
class Recipe:
    """How one cell is made."""

    slug: str
    set_name: str
    plain: dict[str, Any]
    """What stands in the file as it is here."""
    capacity: float | None = None
    """Area is scaled so that the cell holds this; None leaves the set as it is. [Ah]"""
    full: float | None = None
    empty: float | None = None
    """Rest voltages that mean full and empty, where they are not the set's. [V]"""
    colder: str = "set"
    """Whence the effect of temperature: the set itself, "arrhenius", or the name of another set."""
    level: dict[str, float] | None = None
    """Typical resistance at 50 % and 25 °C, where the set gives only the shape. [mΩ]"""
    shape: dict[str, str] = field(default_factory=dict)
    """Whose shape a table takes, where it is not its own."""


def _sources(*groups: tuple[tuple[str, ...], Source]) -> dict[str, Source]:
    return {name: source for names, source in ((NEVER_IN_A_SET, TYPICAL), *groups) for name in names}


def _plain(
    *,
    title: str,
    source: str,
    grade: str,
    remarks: str,
    fields: dict[str, Source],
    chemistry: str,
    shape: str,
    size: tuple[str, ...],
    mass: str,
    nominal: str,
    currents: tuple[str, str, str, str],
    heat_capacity: str,
    cycles: int,
    charge_max: str = "45 °C",
) -> dict[str, Any]:
    names = SIZE_ROUND if shape == "cylindrical" else SIZE_FLAT
    current_names = ("current_continuous", "current_peak", "current_charge", "current_regen")
    return {
        "kind": "cell",
        "title": title,
        "source": source,
        "grade": grade,
        "remarks": remarks,
        "fields": fields,
        "chemistry": chemistry,
        "shape": shape,
        **dict(zip(names, size, strict=True)),
        "mass": mass,
        "voltage_nominal": nominal,
        **dict(zip(current_names, currents, strict=True)),
        "temperature_charge_min": "0 °C",
        "temperature_charge_max": charge_max,
        "temperature_discharge_min": "-20 °C",
        "temperature_discharge_max": "60 °C",
        "heat_capacity": heat_capacity,
        "cycles_rated": cycles,
        "cycles_rated_to": "80 %",
    }


RECIPES = (
    Recipe(
        "nmc811-cylindrical-5ah",
        "Chen2020",
        _plain(
            title="NMC 811 cylindrical cell, 21 × 70 mm, 5 Ah",
            source="chen-2020",
            grade="measured",
            remarks="Voltage, and resistance at 25 °C, from Chen 2020; resistance at other temperatures by the ratio that"
            " O'Regan 2022 gives for the same cell (mean over charge), carried on below about 0 °C. Nameplate 5.0 Ah:"
            f" 5.15 Ah is what the set holds at vanishing current. {PULSES}",
            fields=_sources(
                (("heat_capacity",), SURVEY),
                (RESISTANCES, {"source": "oregan-2022", "grade": "measured"}),
            ),
            chemistry="nmc",
            shape="cylindrical",
            size=("21 mm", "70 mm"),
            mass="69 g",
            nominal="3.63 V",
            currents=("7.3 A", "15 A", "3.5 A", "7.5 A"),
            heat_capacity="1040 J/(kg·K)",
            cycles=1000,
        ),
        colder="ORegan2022",
    ),
    Recipe(
        "nmc532-pouch-5ah",
        "Mohtat2020",
        _plain(
            title="NMC 532 pouch cell, 5 Ah",
            source="mohtat-2020",
            grade="measured",
            remarks="Voltage, and resistance at each temperature, from Mohtat 2020; kinetics and transport of that set are"
            f" partly fitted and partly from the literature. {PULSES}",
            fields=_sources(
                (("heat_capacity",), SURVEY),
                (SIZE_FLAT, TYPICAL),
                (RESISTANCES, {"source": "mohtat-2020", "grade": "estimated"}),
            ),
            chemistry="nmc",
            shape="pouch",
            size=("130 mm", "90 mm", "3.4 mm"),
            mass="95 g",
            nominal="3.7 V",
            currents=("10 A", "25 A", "5 A", "15 A"),
            heat_capacity="1040 J/(kg·K)",
            cycles=1500,
        ),
    ),
    Recipe(
        "lfp-cylindrical-2.3ah",
        "Prada2013",
        _plain(
            title="LFP cylindrical cell, 26 × 65 mm, 2.3 Ah",
            source="prada-2013",
            grade="estimated",
            remarks="The set of Prada 2013 as the reference library carries it, with electrode potentials from Afshar 2017 and"
            " Chen 2020; it gives about twice the resistance of a good power cell of this size. Temperature by an"
            f" activation energy of 20 kJ/mol, an estimate. {PULSES}",
            fields=_sources(
                (("heat_capacity",), SURVEY), (SIZE_ROUND, TYPICAL), (RESISTANCES, ARRHENIUS), (CURVE, LFP_CURVE)
            ),
            chemistry="lfp",
            shape="cylindrical",
            size=("26 mm", "65 mm"),
            mass="72 g",
            nominal="3.2 V",
            currents=("7 A", "23 A", "2.3 A", "7 A"),
            heat_capacity="1130 J/(kg·K)",
            cycles=3000,
            charge_max="55 °C",
        ),
        colder="arrhenius",
    ),
    Recipe(
        "nca-cylindrical-3.1ah",
        "NCA_Kim2011",
        _plain(
            title="NCA cylindrical cell, 18 × 65 mm, 3.1 Ah",
            source="kim-2011",
            grade="estimated",
            remarks="Voltage from Kim 2011, a 0.43 Ah set scaled in capacity. That set has thin, powerful electrodes (scaled,"
            " 6 mΩ at 10 s), so only the shape of the resistance over charge and temperature is its own and the level"
            " (25, 40 and 60 mΩ at 50 %, 25 °C) is typical of such a cell. The nameplate says 3.8 V; the mean of the"
            " curve is 3.7 V.",
            fields=_sources((("heat_capacity",), SURVEY), (SIZE_ROUND, TYPICAL)),
            chemistry="nca",
            shape="cylindrical",
            size=("18 mm", "65 mm"),
            mass="47 g",
            nominal="3.8 V",
            currents=("6.2 A", "16 A", "1.5 A", "4.7 A"),
            heat_capacity="830 J/(kg·K)",
            cycles=500,
        ),
        capacity=3.14,
        level={"ms": 25.0, "10s": 40.0, "minutes": 60.0},
    ),
    Recipe(
        "nmc111-pouch-7.5ah",
        "Ecker2015",
        _plain(
            title="NMC 111 pouch cell, 7.5 Ah",
            source="ecker-2015",
            grade="measured",
            remarks="One layer of 0.156 Ah from Ecker 2015, scaled so that the cell holds 7.5 Ah. Its activation energies are"
            " measured but large: carried on below 0 °C they give more resistance than most cells of this kind show."
            f" {PULSES}",
            fields=_sources(
                (("heat_capacity",), SURVEY),
                (SIZE_FLAT, TYPICAL),
                (("capacity",), {"source": "ecker-2015", "grade": "estimated"}),
                (RESISTANCES, {"source": "ecker-2015", "grade": "estimated"}),
            ),
            chemistry="nmc",
            shape="pouch",
            size=("110 mm", "95 mm", "7.5 mm"),
            mass="165 g",
            nominal="3.7 V",
            currents=("15 A", "38 A", "7.5 A", "22 A"),
            heat_capacity="1040 J/(kg·K)",
            cycles=1500,
        ),
        capacity=7.5,
    ),
    Recipe(
        "lco-pouch-2.3ah",
        "Ai2020",
        _plain(
            title="LCO pouch cell, 51 × 47 × 6.4 mm, 2.3 Ah",
            source="ai-2020",
            grade="measured",
            remarks="Voltage, size, and resistance at 25 °C, from Ai 2020; the set hardly changes with temperature, so an"
            " activation energy of 20 kJ/mol stands in, an estimate. Nameplate 2.28 Ah: 2.47 Ah is what the set holds"
            f" at vanishing current. {PULSES}",
            fields=_sources(
                (("heat_capacity",), {"source": "specific-heat-survey", "grade": "estimated"}),
                (RESISTANCES, ARRHENIUS),
            ),
            chemistry="lco",
            shape="pouch",
            size=("51 mm", "47 mm", "6.4 mm"),
            mass="40 g",
            nominal="3.8 V",
            currents=("4.6 A", "6.9 A", "1.6 A", "2.3 A"),
            heat_capacity="1000 J/(kg·K)",
            cycles=500,
        ),
        colder="arrhenius",
    ),
    Recipe(
        "nmc-prismatic-50ah",
        "Mohtat2020",
        _plain(
            title="NMC prismatic cell, 148 × 27 × 98 mm, 50 Ah",
            source="mohtat-2020",
            grade="estimated",
            remarks="A typical automotive cell: voltage and resistance of Mohtat 2020 scaled from 5 Ah to 50 Ah, which gives"
            f" the 1 mΩ at 10 s that is usual for this size. {PULSES}",
            fields=_sources((("heat_capacity",), SURVEY), (SIZE_FLAT, TYPICAL)),
            chemistry="nmc",
            shape="prismatic",
            size=("148 mm", "27 mm", "98 mm"),
            mass="0.85 kg",
            nominal="3.7 V",
            currents=("100 A", "250 A", "50 A", "150 A"),
            heat_capacity="1040 J/(kg·K)",
            cycles=2000,
        ),
        capacity=50.0,
    ),
    Recipe(
        "lfp-prismatic-280ah",
        "Prada2013",
        _plain(
            title="LFP prismatic cell, 174 × 72 × 205 mm, 280 Ah",
            source="prada-2013",
            grade="estimated",
            remarks="A typical large cell: voltage of the set of Prada 2013 between 2.5 V and 3.65 V. The level of the"
            " resistance (0.2, 0.4 and 0.6 mΩ at 50 %, 25 °C) is typical; its shape over charge is the set's, that of"
            " the 10 s figure standing for ten minutes too; temperature by an activation energy of 20 kJ/mol.",
            fields=_sources(
                (("heat_capacity",), SURVEY), (SIZE_FLAT, TYPICAL), (RESISTANCES, ARRHENIUS), (CURVE, LFP_CURVE)
            ),
            chemistry="lfp",
            shape="prismatic",
            size=("174 mm", "72 mm", "205 mm"),
            mass="5.4 kg",
            nominal="3.2 V",
            currents=("280 A", "560 A", "140 A", "280 A"),
            heat_capacity="1130 J/(kg·K)",
            cycles=4000,
            charge_max="55 °C",
        ),
        capacity=280.0,
        full=3.65,
        empty=2.5,
        colder="arrhenius",
        level={"ms": 0.2, "10s": 0.4, "minutes": 0.6},
        shape={"minutes": "10s"},
    ),
)
