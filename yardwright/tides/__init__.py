"""Water level: from harmonic constants, or from a typed table of high and low waters."""
