"""Diagnosis of engine cooling systems: a case in, a ranked and explained assessment out."""

__version__ = "0.1.0"
