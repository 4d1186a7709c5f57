"""Lets `python -m riskdoc` do what `riskdoc` does."""

from riskdoc.cli.main import main

main()
