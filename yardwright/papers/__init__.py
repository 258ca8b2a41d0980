"""Plain data to paper (PDF) and to drawings (SVG, the same on screen and on paper)."""
