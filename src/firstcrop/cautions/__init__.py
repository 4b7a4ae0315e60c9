"""Hazards seen in a sheet and its forecast; and what firstcrop will not plan at all.

`assess(forecast, bank)` in `all` gives the cautions and what was not assessed; `refuse` in
`refuse` the one sentence for preparations that are not planned.
"""
