"""From an assessment to a document: view (printable strings), drawings, HTML, PDF.

Nothing is imported here: the screen takes the units of figures from this package, and a check has
no need of what sets a page.
"""
