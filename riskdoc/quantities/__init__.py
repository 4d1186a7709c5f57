"""Numbers with units and ranges: as stated, as carried through equations, and as printed."""
