"""Amplifiers: distortion and noise, response, loudspeakers, heat, tubes.

Sources
    Named in each module.
"""
