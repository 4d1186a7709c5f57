"""What people write: the model of a job file, reading it, units and faults.

Comes in: a path to a YAML file. Goes out: a `JobFile`, or every fault found in it.
Imports nothing of ours from outside this folder.
"""
