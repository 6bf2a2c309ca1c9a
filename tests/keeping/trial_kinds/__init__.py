"""Kinds of task for trying the worker with, known to a program that runs with the settings beside."""
