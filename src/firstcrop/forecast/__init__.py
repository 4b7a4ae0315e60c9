"""The forecast of a written preparation: names, amounts, simulation, blanks, crops, bands."""
