"""How the cells of the shipped catalogue are made from published parameter sets."""

import os

# pybamm would otherwise report its use over the network.
os.environ.setdefault("PYBAMM_DISABLE_TELEMETRY", "true")
