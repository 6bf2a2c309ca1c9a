"""Mechanics: belts, drives, dial cords, torque, screws.

Sources
    Named in each module.
"""
