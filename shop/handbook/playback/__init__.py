"""Tape and disc: speed, level on tape, equalization, azimuth, and what a cartridge and its arm ask for.

Sources
    Named in each module.
"""
