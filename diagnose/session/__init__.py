"""The session at the vehicle: one question at a time, every answer on disk before the next, a decision at the end."""
