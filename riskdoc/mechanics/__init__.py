"""Equations and nothing else: SI floats or NumPy arrays in, the same out.

Imports nothing of ours. No function here reads, prints, rounds or clamps; a value outside
its bounds raises `ValueError`.
"""
