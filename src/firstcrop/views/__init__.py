"""Forecast to plain rows: wording, rounding and order, shared by every face of firstcrop."""
