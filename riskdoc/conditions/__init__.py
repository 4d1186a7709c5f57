"""Conditions on a plan, written in YAML: what triggers of hazards and items of sets share.

The words are a closed list; one that is not known is refused by name and place when it is loaded.
"""
