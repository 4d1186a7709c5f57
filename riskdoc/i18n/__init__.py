"""The words and units a report is written in. Reads nothing of ours; everything that prints may.

English text stands where it is said; a translation is one file, `<language>.po`, beside this one.
"""
