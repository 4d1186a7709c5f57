"""Requirement sets: what a law, a standard or a house rule asks, and what a plan shows of it.

Met means that the plan shows the point. Missing is not demonstrated; a question that only a
person can answer stays not demonstrated until it is answered on paper.
"""
