"""What is undone and put back: put-backs, ways in, the checks, verdicts, steps. No Django."""
