"""Hazards of a plan: a catalogue, why each one is proposed, its ratings, and its controls.

The catalogue is data; a trigger is a small function over an assessment that says why its hazard
belongs to this job. What the job does not say is a reason to list a hazard, never to leave it out.
"""
