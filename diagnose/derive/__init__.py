"""Pure functions of numbers: physics and arithmetic of the cooling system. Imports nothing from the project."""
