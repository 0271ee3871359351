"""What a rule, a quantity, a field or a stage is, in lines of text; each module explains one of them."""
