"""Lets `python -m riskdoc.cli` do what `riskdoc` does."""

from riskdoc.cli.main import main

main()
