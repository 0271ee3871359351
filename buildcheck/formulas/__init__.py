"""Pure formulas of the trade: SI floats in, SI floats out; angles in degrees."""
