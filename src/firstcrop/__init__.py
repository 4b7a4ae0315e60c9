"""firstcrop: forecasts a written chemical preparation, step by step."""
