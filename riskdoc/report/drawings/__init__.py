"""Drawings of a plan, to scale: what is assumed or left out is said in each of them."""

from riskdoc.report.drawings.scene import Drawing

__all__ = ["Drawing"]
