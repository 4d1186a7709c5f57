"""A job, the tables and the mechanics make an `Assessment`: figures, checks, findings.

Comes in: a `JobFile`. Goes out: a frozen `Assessment`. Imports `job`, `tables`, `mechanics`.
"""
