"""An analysis becomes an `Assessment`: checks, rules, findings, cautions.

Comes in: a `JobFile` and what `analysis` makes of it. Goes out: a frozen `Assessment`. `judge`
compares, the modules named for a topic ask its questions, `assess` puts the whole together.
"""
