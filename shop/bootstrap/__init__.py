"""What happens before anything is installed: the environment, the libraries of the system, the run of the tests.

Standard library only, and nothing from the rooms: these modules run on a bare Python.
"""
