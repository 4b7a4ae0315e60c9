"""Formulas, equations and amounts: pure, no data, no physics."""
