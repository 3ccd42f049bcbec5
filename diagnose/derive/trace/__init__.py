"""Temperature trace: a log of coolant temperature over a drive becomes figures, and figures become likelihoods of patterns.

`reader.open_log` turns a file into trips, `verdict.judge` judges one trip, `plot` draws it.
Nothing is imported here, so that nobody pays for it unasked.
"""
