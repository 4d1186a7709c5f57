"""riskdoc: rope risk assessments that are computed, judged and traceable."""

__version__ = "0.1.0"
