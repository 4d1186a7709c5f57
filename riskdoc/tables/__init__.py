"""Numbers from the world: one row each, with range, unit, provenance and source.

The rows are data (the YAML files beside this one); `loader` reads them. Imports nothing of ours.
"""
