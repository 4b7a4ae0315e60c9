"""The shelf: what is in each bottle, how strong it is today, and what it costs."""
