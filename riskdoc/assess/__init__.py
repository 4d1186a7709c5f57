"""A job, the tables and the mechanics make an `Assessment`: figures, checks, findings.

Comes in: a `JobFile`. Goes out: a frozen `Assessment`. Imports `job`, `tables`, `mechanics`.

The order of work: `rig` (names resolved), `tension` and `falls` (what acts), `strengths` (what
holds), `movements` and `exposures` (what wears), `anchors`; each is judged by `judge` or `rules`,
and `assess` puts the whole together. `spread` carries every number through with its range.
"""
