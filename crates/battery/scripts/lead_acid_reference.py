"""Discharge hours and rested voltage of a physical lead-acid model.

Runs the full porous-electrode model of PyBaMM (general-purpose battery
modelling; `pip install pybamm`) with its parameter set of Sulzer et al. 2019,
"Faster lead-acid battery simulations from porous-electrode theory", and writes
the table that the tests of this crate compare with. The cell of that set is a
valve-regulated battery of 17 Ah; rates are therefore given as C/n.

The model is deterministic; there is no seed.

    python lead_acid_reference.py > ../tests/data/lead_acid_reference.csv
"""

import sys

import numpy as np
import pybamm

pybamm.set_logging_level("ERROR")
MODEL = "Full"
CUT_OFF_V = 10.5
RATES = [20, 50, 100, 200, 500, 1000]
TEMPERATURES_C = [0, 10, 25, 40]
REST_H = 24


def parameters(celsius, current):
    values = pybamm.ParameterValues("Sulzer2019")
    kelvin = 273.15 + celsius
    values.update(
        {
            "Current function [A]": current,
            "Ambient temperature [K]": kelvin,
            "Initial temperature [K]": kelvin,
            "Lower voltage cut-off [V]": CUT_OFF_V / 6,
        }
    )
    return values


def nominal():
    return pybamm.ParameterValues("Sulzer2019")["Nominal cell capacity [A.h]"]


def discharge(hours_rate, celsius):
    """Hours to the cut-off at C/hours_rate."""
    current = nominal() / hours_rate
    model = getattr(pybamm.lead_acid, MODEL)()
    simulation = pybamm.Simulation(model, parameter_values=parameters(celsius, current))
    solution = simulation.solve(np.linspace(0, 3 * hours_rate * 3600, 600))
    return solution["Time [h]"].entries[-1]


def rested(share, celsius):
    """Battery voltage at a share of the charge that C/1000 at 25 C delivers,
    with no current: the open-circuit voltage of the model's electrolyte."""
    current = nominal() / 1000
    model = getattr(pybamm.lead_acid, MODEL)()
    simulation = pybamm.Simulation(model, parameter_values=parameters(celsius, current))
    solution = simulation.solve(np.linspace(0, 3 * 1000 * 3600, 3000))
    end = rested.full_h
    time = (1 - share) * end
    return float(solution["Battery voltage [V]"](t=time * 3600))


def main():
    print(f"# PyBaMM {pybamm.__version__}, {MODEL}, parameter set Sulzer2019, no seed (deterministic)")
    print(f"# cut-off {CUT_OFF_V} V; nominal {nominal()} Ah; rested voltage at C/1000 (polarisation below 10 mV)")
    print("kind,rate_h,share,temperature_c,value")
    for celsius in TEMPERATURES_C:
        for rate in RATES:
            hours = discharge(rate, celsius)
            if celsius == 25 and rate == 1000:
                rested.full_h = hours
            print(f"hours,{rate},,{celsius},{hours:.4f}")
    for celsius in [0, 25, 40]:
        for share in [1.0, 0.75, 0.5, 0.25, 0.1]:
            print(f"rested,,{share},{celsius},{rested(share, celsius):.4f}")


if __name__ == "__main__":
    sys.exit(main())
