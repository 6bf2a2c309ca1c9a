"""The power supply: ripple, networks, regulators, the line and its taps, lamps.

Sources
    Named in each module.
"""
