"""What every paper warns of. Voltwright computes; it does not replace codes, makers' instructions or licensed people."""

from __future__ import annotations

MARK_WORDS = "NOT FOR BUILDING"
NOT_JUDGED = "Not judged in this version"
FOOT = "Design aid: defers to local codes, the device maker’s instructions and licensed practice."

SHORT = (
    "High voltage kills: only qualified people open covers. Isolate, wait, and prove dead.",
    "Lift motors, boxes and the car with rated gear; its balance changes as masses leave and come.",
    "Crash strength, fire and braking need proof beyond these figures.",
)
IN_FULL = "The section “Cautions” at the end says more."

FULL: tuple[tuple[str, str], ...] = (
    (
        "High voltage kills",
        "Above 60 V DC or 30 V AC (rms) a touch can stop a heart, and an arc burns. A pack cannot be switched "
        "off: its terminals and the links between modules stay live with every contactor open. Only people whom "
        "local law counts as qualified for high-voltage work open covers and boxes or touch orange cables, with "
        "insulated tools and gloves, and never alone.",
    ),
    (
        "Isolate, and prove dead",
        "Switch off, pull the service disconnect, lock it away and keep the key. Wait as long as the maker of the "
        "inverter says for its capacitors. Then measure pole to pole and each pole to the body with a two-pole "
        "tester that was tried on a known source before and after. What is not proved dead is live.",
    ),
    (
        "Lifting",
        "Motors and boxes are heavy, and their masses here are no better than what was entered. Use rated gear at "
        "the maker’s lifting points, and stands, not a jack, under the car. As engine and tank leave, the balance "
        "on a lift changes: the centre of gravity of the half-stripped car is neither of the two drawn here.",
    ),
    (
        "Crash",
        "No figure here shows that boxes, mounts or body bear a crash. A box that tears loose kills. Strength "
        "must be shown as local codes and licensed practice ask, and boxes must not stand where the body is meant "
        "to crush.",
    ),
    (
        "Fire",
        "Cells that are crushed, flooded, overcharged, charged below freezing or too hot can burn at once or days "
        "later. Their smoke is poisonous and explosive, and a fire that seems out can light again. Keep damaged "
        "modules outdoors and apart, keep water at hand, and tell the fire service what is in the car.",
    ),
    (
        "Brakes, springs and the moving car",
        "Other masses in other places change braking, springs, steering and tyres, and vacuum for the servo "
        "leaves with the engine. A motor starts without a sound: first runs are made with the wheels off the "
        "ground. A permanent-magnet motor makes voltage whenever it turns, also when the car is towed.",
    ),
    (
        "Bolts and terminals",
        "Tightening torques come only from the datasheet of the part. A loose terminal on traction current burns.",
    ),
    (
        "What this paper is",
        "Voltwright is a design aid. It works from what was entered and assumed, and defers to local codes, the "
        "device maker’s instructions and licensed practice. While a protective part rests on invented, estimated "
        "or missing data, or a finding says stop, nobody may build from it.",
    ),
)
