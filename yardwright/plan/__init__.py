"""Who does what when: the problem, a model for the solver, and a checker that never saw it."""
