"""A job, the tables and the mechanics make an `Assessment`: figures, checks, findings.

Comes in: a `JobFile`. Goes out: a frozen `Assessment`. Imports `job`, `tables`, `mechanics`.

The order of work: `rig` (names resolved), `loads` and `across` (what hangs there, and what of a
sweep lies beside a protector), `tension` and `falls` (what acts), `strengths` (what holds),
`movements` and `exposures` (what wears), `anchors`; each is judged by `judge`, `rules` or
`edge_rules`, and `assess` puts the whole together. `spread` carries every number through with its
range, and `draws` draws it.
"""
