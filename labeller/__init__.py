"""Allergen and nutrition declarations from a kitchen's own recipes."""

__version__ = "0.1.0"
