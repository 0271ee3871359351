"""The reference as Markdown pages: rules, quantities, fields, settings and results, written from what the code uses."""
