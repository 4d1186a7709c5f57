"""Changes to a plan: what each does, the package of changes that mends it, and working limits.

A change is a function from a job to a job. The changed job is assessed again by the same rules
as the plan itself, and compared check by check; nothing here knows an equation.
"""
