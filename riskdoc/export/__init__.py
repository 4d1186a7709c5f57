"""A dossier as data for machines: `check --json`, the figures inside a report, and their schema."""
