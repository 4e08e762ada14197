"""Names for numbers in SI: the type says the unit in which people see the number."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from voltwright.quantity.units import Unit

Number = Annotated[float, Unit("1")]
Fraction = Annotated[float, Unit("%")]
Metre = Annotated[float, Unit("m")]
SquareMetre = Annotated[float, Unit("m²")]
Kilogram = Annotated[float, Unit("kg")]
KilogramMetre = Annotated[float, Unit("kg·m")]
KilogramPerCubicMetre = Annotated[float, Unit("kg/m³")]
Second = Annotated[float, Unit("s")]
Hertz = Annotated[float, Unit("Hz")]
Newton = Annotated[float, Unit("N")]
NewtonPerMetre = Annotated[float, Unit("N/m")]
NewtonMetre = Annotated[float, Unit("N·m")]
Radian = Annotated[float, Unit("rad")]
RadianPerSecond = Annotated[float, Unit("rpm")]
Volt = Annotated[float, Unit("V")]
Ampere = Annotated[float, Unit("A")]
Ohm = Annotated[float, Unit("Ω")]
Coulomb = Annotated[float, Unit("Ah")]
Joule = Annotated[float, Unit("Wh")]
Watt = Annotated[float, Unit("W")]
Kelvin = Annotated[float, Unit("°C")]
MetrePerSecond = Annotated[float, Unit("km/h")]
MetrePerSecondSquared = Annotated[float, Unit("m/s²")]

# Money is exact: these formulas are worked in the unit of the annotation, as decimals.
Money = Annotated[Decimal, Unit("currency")]
MoneyPerHour = Annotated[Decimal, Unit("currency/h")]
Hours = Annotated[Decimal, Unit("h")]
Count = Annotated[Decimal, Unit("1")]
Share = Annotated[Decimal, Unit("1")]
