"""An `Assessment` becomes a view of printable strings, then drawings, HTML and PDF.

Imports `assess` (its records) and `job`. Templates only print; nothing is computed in them.
"""
