"""Pure functions of SI floats, angles in degrees; numeric solvers."""
