"""Gears, shafts and mounts under the motor's torque, both ways; and the torque that spins the wheels."""

from __future__ import annotations

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Metre, Newton, NewtonMetre, Number


@formula(
    symbol="T_o",
    equation="torque * ratio",
    source=Source("gillespie-1992", "ch. 2; torque multiplied by gears"),
    valid="losses of the gears left out, which errs to the safe side",
)
def torque_after_gear(torque: NewtonMetre, ratio: Number) -> NewtonMetre:
    """Torque that leaves a gear. [N·m]"""
    return torque * ratio


@formula(symbol="T_s", equation="axle / 2", source=Source("gillespie-1992", "ch. 2; the differential shares torque evenly"),
         valid="an open differential; where both axles are driven, one may have to take it all")  # fmt: skip
def half_shaft_torque(axle: NewtonMetre) -> NewtonMetre:
    """Torque of each half shaft, of the torque at the driven wheels together. [N·m]"""
    return axle / 2.0


@formula(
    symbol="T_h",
    equation="share * bears",
    valid="hypoid and spiral bevel gears, whose flanks differ; gearboxes whose bearings and dogs were made for one way",
)
def coast_side(share: Fraction, bears: NewtonMetre) -> NewtonMetre:
    """Torque that gears bear on the flanks that carry it while the motor brakes or turns backwards. [N·m]"""
    return share * bears


@formula(
    symbol="F_n",
    equation="torque / spacing",
    source=Source("typical-practice", "statics: two equal and opposite forces make a couple"),
    valid="one mount on each side of the shaft; the weight on the mounts comes on top",
)
def mount_force(torque: NewtonMetre, spacing: Metre) -> Newton:
    """Force on each of two mounts that hold a torque: one is pressed, the other is lifted. [N]"""
    return torque / spacing


@formula(symbol="T_μ", equation="force * wheel_radius", source=Source("gillespie-1992", "ch. 2"))
def torque_of_grip(force: Newton, wheel_radius: Metre) -> NewtonMetre:
    """Torque of the driven wheels together at which they begin to spin. [N·m]"""
    return force * wheel_radius
