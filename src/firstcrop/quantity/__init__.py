"""Written quantities and strengths: text to SI and back. Units at the door, floats inside."""
