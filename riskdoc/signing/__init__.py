"""What is signed, who signed it, and how a document stands.

A sign-off is bound to a content: the resolved job with its figures and verdicts in the canonical
form of RFC 8785. Whoever has a document can take the content out of it and hash it.
"""
