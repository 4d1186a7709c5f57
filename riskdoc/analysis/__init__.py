"""Resolved lines with their numbers through the equations: figures, and nothing judged.

Comes in: a `JobFile`. Goes out: figures, and the numbers that checks compare.

The order of work: `resolve` (names resolved), `load_mass` and `edge_crossing` (what hangs there,
and what of a sweep lies beside a protector), `tension` and `falls` (what acts), `strengths` (what
holds), `movements` and `abrasion` (what wears), `anchor_pulls` and `leg_forces`; `analyse` puts a
line together.
"""
