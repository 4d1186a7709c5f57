"""Changes to a plan: what each buys, the smallest set that mends it, and the working limits.

A change is a function from a job to a job. The changed job is assessed again by the same rules
as the plan itself, and compared check by check; nothing here knows an equation.
"""
