"""Mutation of the knowledge: spoil one entry, and see whether the check, a worked case or the register of expectations notices."""
